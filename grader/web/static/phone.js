// While a code is shown: tells how long it is good yet, and loads the page anew once a phone is in.
const box = document.getElementById('let-in');
const timeLeft = document.getElementById('time-left');
const EVERY_MS = 2000;

async function ask() {
  try {
    const answer = await fetch('/phone.json', { cache: 'no-store' });
    const facts = await answer.json();
    if (!facts.is_shown || facts.n_phones !== Number(box.dataset.phones)) {
      location.reload();
      return;
    }
    if (timeLeft.textContent !== facts.time_left) timeLeft.textContent = facts.time_left;
  } catch {
    timeLeft.textContent = 'The program does not answer. Is it still running?';
  }
  setTimeout(ask, EVERY_MS);
}

if (box) setTimeout(ask, EVERY_MS);
