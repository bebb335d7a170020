"""What is asked of a page in a browser: scripts that look at it as a person would."""

# Elements with text of their own that leaves the page sideways, or is cut off by its box.
CUT = """() => {
  const found = [];
  for (const one of document.querySelectorAll('body *')) {
    const own = [...one.childNodes].some((node) => node.nodeType === 3 && node.data.trim());
    if (!own || one.closest('svg, .seen-by-readers, .skip, option, noscript, script')) continue;
    const box = one.getBoundingClientRect();
    if (!box.width || !box.height) continue;
    let scrolls = false;
    for (let up = one; up && up !== document.body; up = up.parentElement) {
      if (['auto', 'scroll'].includes(getComputedStyle(up).overflowX)) scrolls = true;
    }
    const style = getComputedStyle(one);
    // Shortened on purpose, with dots for what is left out.
    if (style.webkitLineClamp !== 'none') continue;
    const hides = ['hidden', 'clip'].includes(style.overflowX) && one.scrollWidth > one.clientWidth + 1;
    const hidesBelow = ['hidden', 'clip'].includes(style.overflowY) && one.scrollHeight > one.clientHeight + 1;
    const leaves = !scrolls && (box.right > innerWidth + 1 || box.left < -1);
    if (hides || hidesBelow || leaves) found.push(`${one.tagName} ${one.className}: ${one.textContent.trim().slice(0, 60)}`);
  }
  return found;
}"""

# What the Tab key should reach; one radio button of a group is enough.
REACHABLE = """() => [...document.querySelectorAll('a[href], button, input, select, textarea, summary, [tabindex]')].filter(
  (one) => one.tabIndex >= 0 && !one.disabled && one.type !== 'hidden' && one.type !== 'radio'
    && one.checkVisibility({ visibilityProperty: true })
).length"""

# The element that has the focus, numbered when it is first met, and whether one sees that it has it: by itself, or by
# what is around it.
FOCUSED = """() => {
  const one = document.activeElement;
  if (!one || one === document.body) return null;
  window.met ??= new Map();
  if (!window.met.has(one)) window.met.set(one, window.met.size);
  const shows = (where) => {
    const style = getComputedStyle(where);
    return (style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) > 0) || style.boxShadow !== 'none';
  };
  const box = one.getBoundingClientRect();
  return {
    number: window.met.get(one),
    name: `${one.tagName} ${one.id || one.className} ${one.textContent.trim().slice(0, 30)}`,
    counts: one.matches('a[href], button, input:not([type=radio]), select, textarea, summary, [tabindex]'),
    // A field for a date shows by itself which of its parts has the focus.
    seen: one.type === 'datetime-local' || [one, one.parentElement, ...(one.labels ?? [])].some(shows),
    inside: box.right > 0 && box.left < innerWidth && box.bottom > 0 && box.top < innerHeight,
  };
}"""

# The next Tab goes to the first element of the page, whatever was pressed before.
FROM_THE_TOP = """() => {
  document.body.tabIndex = -1;
  document.body.focus();
  document.body.removeAttribute('tabindex');
}"""
