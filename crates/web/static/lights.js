// Shows the piece in another light, before another ground, from the other side: the choices go with the picture's
// address. They are the eye's, not the piece's, so they are not kept with it.

/** @param {HTMLElement} lights */
export function lights(lights) {
  const figure = document.getElementById("piece-picture");
  const image = () => /** @type {HTMLImageElement | null} */ (document.getElementById("piece-image"));
  const selects = () => [...lights.querySelectorAll("select")];

  const apply = () => {
    const shown = image();
    if (!shown) return;
    const address = new URL(shown.src);
    for (const select of selects()) {
      if (select.selectedIndex === 0) address.searchParams.delete(select.name);
      else address.searchParams.set(select.name, select.value);
    }
    if (address.href !== shown.src) shown.src = address.href;
    const says = (/** @type {string} */ name, /** @type {string} */ word) => selects().find((select) => select.name === name)?.value === word;
    const plate = document.getElementById("piece-plate");
    plate?.toggleAttribute("data-turned", says("seen", "back"));
    plate?.toggleAttribute("data-pale", says("ground", "clear"));
  };

  lights.addEventListener("change", apply);
  // A new plan brings the picture in its usual light.
  if (figure) new MutationObserver(apply).observe(figure, { subtree: true, childList: true, attributeFilter: ["src"] });
}
