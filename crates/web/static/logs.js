// Logs that wait for a connection, oldest first. A log leaves the tablet only when the server has said that it keeps it.

const PLACE = "sabulo-logs";
/** Answers that will be the same tomorrow. */
const NEVER = [400, 404, 409, 413, 415, 422];

/** @returns {{address: string, log: object}[]} */
export const waiting = () => JSON.parse(localStorage.getItem(PLACE) ?? "[]");

const put = (/** @type {{address: string, log: object}[]} */ logs) => localStorage.setItem(PLACE, JSON.stringify(logs));

let sending = Promise.resolve();

/**
 * Adds a log, if one is given, and tries to send all.
 * @param {string} [address]
 * @param {object} [log]
 */
export function send(address, log) {
  if (address && log) put([...waiting(), { address, log }]);
  sending = sending.then(all);
  return sending;
}

async function all() {
  for (let [first] = waiting(); first; [first] = waiting()) {
    try {
      const answer = await fetch(first.address, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify(first.log),
      });
      // A log that the server will never take must not hold up the others; it stays in the browser under a name of its own.
      // One that it does not take now (the device must be paired again, or asks too often) waits.
      if (NEVER.includes(answer.status)) localStorage.setItem(`${PLACE}-refused-${Date.now()}`, JSON.stringify(first));
      else if (!answer.ok) return;
    } catch {
      return;
    }
    put(waiting().slice(1));
  }
}
