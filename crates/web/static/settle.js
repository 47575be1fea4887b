// Brings an element to what a newer one says, changing only what differs: what has the focus,
// is folded open or is being dragged stays as it is.

/**
 * @param {Element} old
 * @param {Element} fresh
 */
export function settle(old, fresh) {
  if (old.isEqualNode(fresh)) return;
  if (old.tagName !== fresh.tagName || old.id !== fresh.id) {
    old.replaceWith(fresh);
    return;
  }
  attributes(old, fresh);
  if (!(old instanceof HTMLElement)) {
    old.replaceChildren(...fresh.childNodes);
    return;
  }
  const before = [...old.childNodes];
  const after = [...fresh.childNodes];
  after.forEach((node, index) => child(old, before[index], node));
  before.slice(after.length).forEach((node) => node.remove());
}

/**
 * @param {Element} parent
 * @param {ChildNode | undefined} old
 * @param {ChildNode} fresh
 */
function child(parent, old, fresh) {
  if (!old) parent.append(fresh);
  else if (old instanceof Element && fresh instanceof Element) settle(old, fresh);
  else if (old.nodeType !== fresh.nodeType || old.nodeValue !== fresh.nodeValue) old.replaceWith(fresh);
}

/**
 * @param {Element} old
 * @param {Element} fresh
 */
function attributes(old, fresh) {
  const keeps = kept(old);
  for (const { name } of [...old.attributes]) {
    if (!fresh.hasAttribute(name) && !keeps.includes(name)) old.removeAttribute(name);
  }
  for (const { name, value } of fresh.attributes) {
    if (old.getAttribute(name) !== value && !keeps.includes(name)) old.setAttribute(name, value);
  }
  if (old === document.activeElement) return;
  if (old instanceof HTMLInputElement && fresh instanceof HTMLInputElement) old.value = fresh.value;
  if (old instanceof HTMLOptionElement && fresh instanceof HTMLOptionElement) old.selected = fresh.selected;
}

/**
 * What a person or a widget has set, and the server does not know.
 * @param {Element} element
 */
function kept(element) {
  if (element.id === "placing-frame") return ["style", "class", "aria-label"];
  if (element instanceof HTMLDetailsElement) return ["open"];
  if (element instanceof HTMLInputElement && element.type === "range") return ["hidden"];
  return [];
}
