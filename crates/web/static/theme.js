// Runs before the first paint: the theme that was chosen on this computer. Without a choice, and
// without script, the page is dark: frosted work is judged against black.
{
  document.documentElement.dataset.theme = localStorage.getItem("theme") ?? "dark";
  document.documentElement.classList.add("scripted");
}
