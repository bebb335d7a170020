// Asks how a job goes until it is over, then goes to its result.
const box = document.getElementById('job');
const bar = document.getElementById('job-progress');
const words = document.getElementById('job-words');
const remedy = document.getElementById('job-remedy');
const every = Number(box.dataset.every);

function show(facts) {
  if (words.textContent !== facts.words) words.textContent = facts.words;
  remedy.textContent = facts.remedy;
  if (facts.n_steps) {
    bar.max = facts.n_steps;
    bar.value = facts.n_done;
  }
  bar.hidden = facts.is_over;
  document.getElementById('job-stop').hidden = facts.is_over;
  document.getElementById('job-on').hidden = !facts.is_over;
  document.querySelector('#job-on a').href = facts.goes_to;
}

async function ask() {
  try {
    const answer = await fetch(box.dataset.address, { cache: 'no-store' });
    const facts = await answer.json();
    if (!answer.ok) {
      show({ words: facts.problem, remedy: facts.remedy, is_over: true, goes_to: '/', n_steps: 0 });
      return;
    }
    show(facts);
    if (facts.state === 'done') location.replace(facts.goes_to);
    if (facts.is_over) return;
  } catch {
    words.textContent = 'The program does not answer. Is it still running? Asking again.';
  }
  setTimeout(ask, every);
}

if (!bar.hidden) ask();
