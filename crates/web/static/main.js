// Makes the server's page quicker to work with. Every widget is a module of its own; without
// script the same page works by submitting its forms.

import { picture } from "./picture.js";
import { recipe } from "./recipe.js";
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
when("strip", strip);
when("recipe-form", recipe);
when("shop-form", recipe);
