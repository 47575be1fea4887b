// What a person in a noisy room can hear and see: a tone and a flash at each change, and a screen that stays lit.

/** @type {AudioContext | null} */
let sound = null;

const TONES = { blast: [880, 880], rest: [440], clear: [330, 330], end: [660, 550, 440] };

/** @param {string} act */
export function cue(act) {
  document.body.classList.remove("flash");
  // The next frame sees the class come anew.
  requestAnimationFrame(() => document.body.classList.add("flash"));
  sound ??= new AudioContext();
  const from = sound.currentTime;
  (TONES[act] ?? [440]).forEach((pitch, i) => {
    const tone = new OscillatorNode(/** @type {AudioContext} */ (sound), { frequency: pitch, type: "square" });
    const loud = new GainNode(/** @type {AudioContext} */ (sound), { gain: 0.25 });
    tone.connect(loud).connect(/** @type {AudioContext} */ (sound).destination);
    tone.start(from + 0.35 * i);
    tone.stop(from + 0.35 * i + 0.25);
  });
}

export async function stayAwake() {
  try {
    await navigator.wakeLock?.request("screen");
  } catch {
    // The battery is low or the page is hidden; the timer counts all the same.
  }
}

document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible" && document.body.dataset.act === "blast") void stayAwake();
});
