// The button that changes between the dark and the light theme.

/** @param {HTMLButtonElement} button */
export function themeToggle(button) {
  const root = document.documentElement;
  const wish = matchMedia("(prefers-color-scheme: light)");
  const light = () => (root.dataset.theme ?? (wish.matches ? "light" : "dark")) === "light";
  const label = () => {
    button.textContent = light() ? "Dark" : "Light";
    button.setAttribute("aria-label", `Use the ${light() ? "dark" : "light"} theme`);
  };
  button.addEventListener("click", () => {
    root.dataset.theme = light() ? "dark" : "light";
    localStorage.setItem("theme", root.dataset.theme);
    label();
  });
  wish.addEventListener("change", label);
  label();
  button.hidden = false;
}
