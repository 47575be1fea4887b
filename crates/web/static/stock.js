// Entries of a shop's ledger, added and taken back where the page stands.

import { Refused, clear, key, say, send } from "./send.js";
import { settle } from "./settle.js";
import { word } from "./words.js";

/** @param {HTMLElement} main */
export function stock(main) {
  const entries = main.dataset.entries ?? "";

  /** Brings the page to what the server knows now. */
  const refresh = async () => {
    const answer = await fetch(location.pathname);
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("main");
    if (answer.ok && fresh) settle(main, document.adoptNode(fresh));
  };

  /** @param {string} words */
  const tell = (words) => {
    const place = document.getElementById("stock-told");
    if (place) place.textContent = words;
  };

  /** @param {HTMLFormElement} form */
  const enter = async (form) => {
    const given = new FormData(form);
    const text = (/** @type {string} */ name) => String(given.get(name) ?? "").trim();
    // The same values sent again are the same entry; a change of them drops the key.
    form.dataset.key ??= key();
    const body = {
      key: form.dataset.key,
      item: text("item"),
      verb: text("verb"),
      amount: text("amount"),
      about: text("about"),
      plan_with_it: given.has("write"),
    };
    await send("POST", entries, body, given.has("revision") ? { "if-match": `"${text("revision")}"` } : {});
    delete form.dataset.key;
    for (const field of form.querySelectorAll("input[type=text]")) {
      if (field instanceof HTMLInputElement) field.value = "";
    }
    await refresh();
    tell(word("entered", { entry: main.querySelector(".entries .what")?.textContent ?? "" }));
  };

  /** @param {HTMLFormElement} form */
  const back = async (form) => {
    await send("DELETE", `${entries}/${encodeURIComponent(String(new FormData(form).get("key")))}`);
    await refresh();
  };

  main.addEventListener("input", (event) => {
    const form = event.target instanceof Element ? event.target.closest("form") : null;
    if (form) delete form.dataset.key;
  });
  main.addEventListener("submit", async (event) => {
    const form = event.target;
    if (!(form instanceof HTMLFormElement)) return;
    event.preventDefault();
    if (form.classList.contains("sending")) return;
    form.classList.add("sending");
    clear(form);
    tell("");
    try {
      await (form.classList.contains("entry-form") ? enter(form) : back(form));
    } catch (fault) {
      if (!(fault instanceof Refused)) throw fault;
      if (fault.status === 412) await refresh();
      say(form, fault.status === 412 ? new Refused(word("changed_meanwhile"), 412) : fault);
    } finally {
      form.classList.remove("sending");
    }
  });
}
