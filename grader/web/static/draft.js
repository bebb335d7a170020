// Sends photos one by one, two at once at most, and shows what each was judged to be worth.
const AT_ONCE = 2;
const ASK_AGAIN_MS = 900;
const TRIES = 5;

const form = document.getElementById('told');
const gather = document.getElementById('gather');
const list = document.getElementById('cards');
const address = form.dataset.address;
const token = document.querySelector('meta[name="csrf"]').content;
const asked = { 'X-Csrf': token, Accept: 'application/json' };

const waiting = [];
let nUnderway = 0;

function element(kind, text, className) {
  const made = document.createElement(kind);
  if (text) made.textContent = text;
  if (className) made.className = className;
  return made;
}

function take(files) {
  for (const file of files) waiting.push({ file, line: newLine(file.name), tries: 0 });
  sendNext();
}

function newLine(name) {
  const line = element('li');
  const label = element('span', name, 'name');
  label.dir = 'auto';
  const bar = element('progress');
  bar.max = 1;
  bar.value = 0;
  bar.setAttribute('aria-label', `Sending ${name}`);
  line.append(label, bar, element('span', 'Waiting', 'state'));
  document.getElementById('sending').append(line);
  return line;
}

function sendNext() {
  while (nUnderway < AT_ONCE && waiting.length) send(waiting.shift());
  mayExamine();
}

function send(one) {
  nUnderway += 1;
  const bar = one.line.querySelector('progress');
  const state = one.line.querySelector('.state');
  const request = new XMLHttpRequest();
  request.open('POST', `${address}/photos`);
  for (const [name, value] of Object.entries(asked)) request.setRequestHeader(name, value);
  request.responseType = 'json';
  request.upload.onprogress = (event) => {
    if (!event.lengthComputable) return;
    bar.value = event.loaded / event.total;
    state.textContent = event.loaded < event.total ? `${Math.floor((100 * event.loaded) / event.total)} % sent` : 'Sent; opening it';
  };
  request.onload = () => over(one, request.status, request.response);
  request.onerror = () => refuse(one.line, 'The connection broke off, so this photo did not arrive.', 'Choose it again. Is the program still running?');
  request.onloadend = () => {
    nUnderway -= 1;
    sendNext();
    refresh();
  };
  const body = new FormData();
  body.append('photos', one.file, one.file.name);
  request.send(body);
}

function over(one, status, answer) {
  if (status === 201) {
    one.line.remove();
  } else if (status === 503 && one.tries < TRIES) {
    one.tries += 1;
    one.line.querySelector('.state').textContent = 'Waiting for others';
    setTimeout(() => { waiting.push(one); sendNext(); }, 1000 * one.tries);
  } else {
    const told = (answer && answer.refused && answer.refused[0]) || answer || {};
    refuse(one.line, told.problem || 'This photo was not taken in.', told.remedy || 'Load the page anew and try again.');
  }
}

function refuse(line, problem, remedy) {
  const words = element('p', `${problem} ${remedy}`, 'lines');
  words.setAttribute('role', 'alert');
  const away = element('button', 'Understood', 'quiet small');
  away.type = 'button';
  away.addEventListener('click', () => line.remove());
  line.className = 'refused';
  line.replaceChildren(words, away);
}

// Draws anew what has changed, and nothing else: what one is reading or ticking stays as it is.
function merge(news) {
  const cards = [...news.querySelectorAll('.card')];
  const kept = new Set(cards.map((card) => card.id));
  for (const card of [...list.children]) if (!kept.has(card.id)) card.remove();
  cards.forEach((card, place) => {
    const old = document.getElementById(card.id);
    if (!old) list.insertBefore(card, list.children[place] || null);
    else if (old.dataset.version !== card.dataset.version && !old.contains(document.activeElement)) old.replaceWith(card);
  });
  document.getElementById('photos-head').hidden = !list.children.length;
  const views = news.querySelector('#views');
  const shown = document.getElementById('views');
  if (shown.innerHTML !== views.innerHTML) shown.innerHTML = views.innerHTML;
  shown.hidden = views.hidden;
  const told = document.getElementById('summary');
  const { summary, cameraTime } = news.querySelector('#cards').dataset;
  if (told.textContent !== summary) told.textContent = summary;
  document.getElementById('camera-time').textContent = cameraTime;
  document.getElementById('camera-row').hidden = !cameraTime;
  mayExamine();
}

let refreshing = false;
let again = 0;
async function refresh() {
  clearTimeout(again);
  if (refreshing) {
    again = setTimeout(refresh, ASK_AGAIN_MS);
    return;
  }
  refreshing = true;
  try {
    const answer = await fetch(`${address}/parts`, { cache: 'no-store' });
    if (answer.ok) merge(new DOMParser().parseFromString(await answer.text(), 'text/html'));
  } catch {
    // The program does not answer; asked again below.
  }
  refreshing = false;
  if (list.querySelector('[data-state="waiting"]')) again = setTimeout(refresh, ASK_AGAIN_MS);
}

function mayExamine() {
  const button = document.getElementById('examine');
  button.disabled = !gather || !list.children.length || nUnderway + waiting.length > 0;
  button.textContent = list.children.length === 1 ? 'Examine this photo' : 'Examine these photos';
}

let saving = Promise.resolve();
function save(where) {
  saving = saving.then(() => saveNow(where));
  return saving;
}

async function saveNow(where) {
  const kept = document.getElementById('kept');
  const owner = form.querySelector('[name="time_by"][value="owner"]');
  if (owner.checked && !form.elements.when.value) {
    kept.textContent = 'Give the date and time, too.';
    form.elements.when.focus();
    return;
  }
  try {
    const answer = await fetch(where, { method: 'POST', headers: asked, body: new URLSearchParams(new FormData(form)) });
    const told = await answer.json();
    if (answer.ok) document.getElementById('n-changes').value = told.n_changes;
    kept.textContent = answer.ok ? 'Kept.' : `${told.problem} ${told.remedy}`;
  } catch {
    kept.textContent = 'The program does not answer, so this was not kept. Is it still running?';
  }
  await refresh();
}

form.addEventListener('change', (event) => {
  if (event.target.name === 'when') form.querySelector('[name="time_by"][value="owner"]').checked = true;
  save(`${address}/told`);
});
form.addEventListener('click', (event) => {
  const button = event.target.closest('button');
  if (!button || button.id === 'examine') return;
  event.preventDefault();
  const where = button.getAttribute('formaction') || `${address}/told`;
  if (where.endsWith('/remove')) button.disabled = true;
  save(where).then(() => { if (where.endsWith('/remove')) document.getElementById('summary').focus(); });
});

if (gather) {
  document.documentElement.classList.add('with-script');
  gather.querySelector('.drop-words').hidden = !matchMedia('(any-pointer: fine)').matches;
  for (const input of gather.querySelectorAll('input[type="file"]')) {
    input.addEventListener('change', () => { take([...input.files]); input.value = ''; });
  }
  document.addEventListener('dragover', (event) => {
    if (![...event.dataTransfer.types].includes('Files')) return;
    event.preventDefault();
    gather.classList.add('over');
  });
  for (const end of ['dragleave', 'drop']) document.addEventListener(end, () => gather.classList.remove('over'));
  document.addEventListener('drop', (event) => {
    if (!event.dataTransfer.files.length) return;
    event.preventDefault();
    take([...event.dataTransfer.files]);
  });
  addEventListener('beforeunload', (event) => { if (nUnderway + waiting.length) event.preventDefault(); });
  if (list.querySelector('[data-state="waiting"]')) refresh();
}
