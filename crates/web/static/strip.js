// Reads all lanes of the run strip at one instant, by pointer or by the arrow keys. The server reads
// the lanes; this module only knows where on the drawing the time axis lies.

/** @param {HTMLElement} section */
export function strip(section) {
  let at = 0;
  let asked = new AbortController();
  const lanes = () => /** @type {HTMLElement | null} */ (section.querySelector("#strip-lanes"));

  /**
   * @param {HTMLElement} lanes
   * @param {number} share of the run, 0 to 1
   */
  const read = async (lanes, share) => {
    at = Math.min(Math.max(share, 0), 1);
    mark(lanes, at);
    lanes.setAttribute("aria-valuenow", String(Math.round(at * 100)));
    asked.abort();
    const question = (asked = new AbortController());
    try {
      const answer = await fetch(`${lanes.dataset.read}&share=${at.toFixed(5)}`, { signal: question.signal });
      const words = answer.ok ? await answer.text() : "";
      if (!question.signal.aborted) say(section, lanes, words);
    } catch {
      // A newer question took its place, or the program was closed: there is nothing to read out.
    }
  };

  section.addEventListener("pointermove", (event) => {
    const on = lanes();
    if (!on || !(event.target instanceof Node) || !on.contains(event.target)) return;
    const box = on.getBoundingClientRect();
    const { left, right } = axis(on);
    void read(on, ((event.clientX - box.left) / box.width - left) / (right - left));
  });
  section.addEventListener("keydown", (event) => {
    const on = lanes();
    if (!on || event.target !== on) return;
    const step = { ArrowLeft: -1, ArrowRight: 1, PageDown: -10, PageUp: 10 }[event.key];
    const end = { Home: 0, End: 1 }[event.key];
    if (step === undefined && end === undefined) return;
    event.preventDefault();
    void read(on, end ?? at + (step ?? 0) * (event.shiftKey ? 0.05 : 0.005));
  });
  section.addEventListener("focusin", (event) => {
    const on = lanes();
    if (on && event.target === on) void read(on, at);
  });
}

/**
 * Ends of the time axis as shares of the drawing's width.
 * @param {HTMLElement} lanes
 */
function axis(lanes) {
  return { left: Number(lanes.dataset.left), right: Number(lanes.dataset.right) };
}

/**
 * @param {HTMLElement} lanes
 * @param {number} at
 */
function mark(lanes, at) {
  const line = lanes.querySelector(".instant");
  if (!(line instanceof HTMLElement)) return;
  const { left, right } = axis(lanes);
  line.hidden = false;
  line.style.left = `${(left + (right - left) * at) * 100}%`;
}

/**
 * One line of the answer for each lane: its name, a tab, its value.
 * @param {HTMLElement} section
 * @param {HTMLElement} lanes
 * @param {string} words
 */
function say(section, lanes, words) {
  const read = words.split("\n").map((line) => line.split("\t"));
  lanes.setAttribute("aria-valuetext", read.map((pair) => pair.join(" ")).join(", "));
  const parts = read.map(([name, value]) => {
    const part = document.createElement("span");
    const number = document.createElement("b");
    number.textContent = value ?? "";
    part.append(`${name} `, number);
    return part;
  });
  section.querySelector("#strip-read-out")?.replaceChildren(...parts);
}
