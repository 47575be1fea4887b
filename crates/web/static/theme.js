// Runs before the first paint: the theme that was chosen on this computer, if any.
// Without a choice the page follows the system, and the dark stands when the system has no wish.
{
  const chosen = localStorage.getItem("theme");
  if (chosen === "light" || chosen === "dark") document.documentElement.dataset.theme = chosen;
  document.documentElement.classList.add("scripted");
}
