// What the scripts say, in the language of the page, which brings its words along as data; and numbers with its
// decimal mark.

/** @type {Record<string, string>} */
const words = JSON.parse(document.getElementById("words")?.textContent ?? "{}");
const language = document.documentElement.lang || "en";

/**
 * A text of the page's list, its holes filled.
 * @param {string} key
 * @param {Record<string, string | number>} [holes]
 */
export function word(key, holes = {}) {
  return (words[key] ?? key).replace(/\{(\w+)\}/g, (hole, name) => String(holes[name] ?? hole));
}

const rules = new Intl.PluralRules(language);

/**
 * A text about a number of things.
 * @param {string} key
 * @param {number} n
 */
export const counted = (key, n) => word(`${key}.${rules.select(n) === "one" ? "one" : "other"}`, { n });

const mark = new Intl.NumberFormat(language).formatToParts(0.5).find(({ type }) => type === "decimal")?.value ?? ".";

/**
 * A number as it is shown and typed here.
 * @param {string | number} number with a point
 */
export const shown = (number) => String(number).replace(".", mark);

/**
 * The number that was typed, with either mark.
 * @param {string} text
 */
export const typed = (text) => Number.parseFloat(text.replace(",", "."));
