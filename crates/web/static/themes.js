// The buttons that choose the dark theme, the light one, the one of high contrast, or what the system asks for.

/** @param {HTMLElement} group */
export function themes(group) {
  const root = document.documentElement;
  const buttons = [...group.querySelectorAll("button")];
  const show = () => {
    for (const button of buttons) button.setAttribute("aria-pressed", String(button.value === root.dataset.theme));
  };
  group.addEventListener("click", (event) => {
    if (!(event.target instanceof HTMLButtonElement)) return;
    root.dataset.theme = event.target.value;
    localStorage.setItem("theme", event.target.value);
    show();
  });
  show();
}
