// The wall without reloading: search while typing, and more pieces before one reaches the end.
// Words never stand in an address: they are posted, and kept in this tab only, so that going back shows them again.
const KEPT = 'wall';
const TYPING_MS = 250;
const token = document.querySelector('meta[name="csrf"]').content;
const form = document.getElementById('search');
const count = document.getElementById('count');
let asked = 0;
let timer = 0;

async function part(fields) {
  const body = new URLSearchParams({ ...fields, csrf: token });
  const answer = await fetch('/search', { method: 'POST', body, headers: { 'X-Part': '1', 'X-Csrf': token } });
  if (!answer.ok) throw new Error(`status ${answer.status}`);
  const held = document.createElement('template');
  held.innerHTML = await answer.text();
  return held.content;
}

function wishes() {
  return { words: form.elements.words.value, order: form.elements.order.value };
}

function remember() {
  sessionStorage.setItem(KEPT, JSON.stringify(wishes()));
}

async function show() {
  const mine = ++asked;
  remember();
  let found;
  try {
    found = await part(wishes());
  } catch {
    form.submit();
    return;
  }
  if (mine !== asked) return;
  document.getElementById('more')?.remove();
  document.getElementById('shelf').replaceWith(found);
  count.textContent = document.getElementById('shelf').dataset.count;
  watchEnd();
}

async function append(more) {
  if (more.dataset.busy) return;
  more.dataset.busy = 'yes';
  const mine = asked;
  let found;
  try {
    found = await part(Object.fromEntries(new FormData(more)));
  } catch {
    delete more.dataset.busy;
    return;
  }
  if (mine !== asked) return;
  const shelf = document.getElementById('shelf');
  shelf.append(...found.getElementById('shelf').children);
  const next = found.getElementById('more');
  if (next) more.replaceWith(next);
  else more.remove();
  watchEnd();
}

const ends = new IntersectionObserver((entries) => {
  for (const entry of entries) if (entry.isIntersecting) append(entry.target);
}, { rootMargin: '1500px' });

function watchEnd() {
  ends.disconnect();
  const more = document.getElementById('more');
  if (!more) return;
  ends.observe(more);
  more.addEventListener('submit', (event) => {
    event.preventDefault();
    append(more);
  });
}

function restore() {
  const kept = JSON.parse(sessionStorage.getItem(KEPT) ?? 'null');
  const kind = performance.getEntriesByType('navigation')[0]?.type;
  if (location.pathname !== '/' || !kept || kind !== 'back_forward') {
    if (location.pathname === '/') sessionStorage.removeItem(KEPT);
    return;
  }
  form.elements.words.value = kept.words;
  form.elements.order.value = kept.order;
  if (kept.words || kept.order !== 'inventory') show();
}

if (form) {
  form.addEventListener('submit', (event) => {
    event.preventDefault();
    show();
  });
  form.elements.order.addEventListener('change', show);
  form.elements.words.addEventListener('input', () => {
    clearTimeout(timer);
    timer = setTimeout(show, TYPING_MS);
  });
  restore();
}
watchEnd();
