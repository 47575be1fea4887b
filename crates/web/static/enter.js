// The code stands behind the mark of a scanned address, which is never sent: it is put in its field and forgotten.

const scanned = location.hash.slice(1);
const field = document.getElementById("code");
if (/^\d{6}$/.test(scanned) && field instanceof HTMLInputElement) {
  field.value = scanned;
  history.replaceState(null, "", location.pathname);
}
