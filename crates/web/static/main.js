// Makes the server's page quicker to work with. Every widget is a module of its own; without
// script the same page works by submitting its forms.

import { begin } from "./begin.js";
import { cut } from "./cut.js";
import { lights } from "./lights.js";
import { ask, order } from "./order.js";
import { picture } from "./picture.js";
import { placing } from "./placing.js";
import { recipe } from "./recipe.js";
import { stock } from "./stock.js";
import { strip } from "./strip.js";
import { themes } from "./themes.js";

/**
 * @template {Element} E
 * @param {string} id
 * @param {(element: E) => void} start
 */
function when(id, start) {
  const element = /** @type {E | null} */ (/** @type {unknown} */ (document.getElementById(id)));
  if (element) start(element);
}

when("theme", themes);
when("piece-picture", picture);
when("piece-picture", cut);
when("piece-picture", placing);
when("begin-piece", begin);
when("lights", lights);
when("way-solid", (way) => {
  // The painter is fetched when somebody asks for it; a change of the recipe brings a new solid.
  const box = () => document.getElementById("piece-solid");
  const show = async () => {
    const at = box();
    if (!at || !(way instanceof HTMLInputElement) || !way.checked) return;
    const solid = await import("./solid.js");
    void solid.show(at);
  };
  for (const other of document.querySelectorAll("[name=way]")) other.addEventListener("change", show);
  const figure = document.getElementById("piece-picture");
  if (figure) new MutationObserver(show).observe(figure, { subtree: true, childList: true, attributeFilter: ["data-solid"] });
});
when("order-form", ask);
when("order-wait", order);
when("stock-form", () => when("main", stock));
when("strip", strip);
when("recipe-form", recipe);
when("shop-form", recipe);
when("setup-form", recipe);
when("sizing-form", recipe);
