// The panel in which she says why: who, how she knows, and what kind it is where that is asked.

import { make } from './mark_list.js';

const READY = {
  confirm: ['seen with a loupe', 'seen with the naked eye', 'felt with a fingernail', 'seen in other light'],
  reject: ['a reflection', 'dust, wiped off', 'part of the design', 'nothing there under a loupe'],
  relabel: ['seen with a loupe', 'felt with a fingernail', 'it wiped off', 'it lies inside the glass'],
  redraw: ['its edge is plain in the photo', 'measured with a loupe'],
  add: ['seen with a loupe', 'seen with the naked eye', 'felt with a fingernail', 'plain in the photo'],
  undo: ['a slip', 'looked at it again'],
};
const KEPT = 'grader-initials';

export class Saying {
  constructor(kinds, onNote, onLeave) {
    this.panel = document.getElementById('saying');
    this.onNote = onNote;
    this.lastReason = {};
    this.asked = null;
    this.initials.value = kept();
    this.kind.append(...kinds.map(({ kind, words, meaning }) => make('option', { value: kind }, `${words}: ${meaning}`)));
    field('note-it').addEventListener('click', () => this.note());
    field('not-now').addEventListener('click', () => {
      this.hide();
      onLeave();
    });
    field('other-initials').addEventListener('click', () => {
      this.showInitials(true);
      this.initials.focus();
    });
    this.panel.addEventListener('keydown', (event) => {
      if (event.key === 'Enter' && event.target.matches('input')) this.note();
      if (event.key === 'Escape') field('not-now').click();
    });
  }

  get initials() { return field('initials'); }
  get reason() { return field('reason'); }
  get kind() { return field('kind'); }

  // Ask: {action, heading, kind (to begin with, or null), hasWidth}. The panel moves to where `placeOf()` says.
  ask(asked, placeOf) {
    Object.assign(this, { asked, placeOf });
    field('saying-heading').textContent = asked.heading;
    field('saying-kind').hidden = !asked.kind;
    if (asked.kind) this.kind.value = asked.kind;
    field('saying-width').hidden = !asked.hasWidth;
    field('width').value = '';
    this.reason.value = this.lastReason[asked.action] ?? '';
    field('ready-reasons').replaceChildren(...READY[asked.action].map((words) => this.ready(words)));
    this.mark();
    this.showInitials(!this.initials.value);
    this.putBack();
    this.panel.hidden = false;
    (this.initials.value ? field('saying-heading') : this.initials).focus();
    this.panel.scrollIntoView({ block: 'nearest' });
  }

  // Asked once; then only told.
  showInitials(isAsked) {
    field('saying-initials').hidden = !isAsked;
    field('saying-as').hidden = isAsked;
    field('as-initials').textContent = this.initials.value;
  }

  // Take the panel out of a place that is about to be written anew; return what brings it back.
  stepAside() {
    const focus = this.panel.contains(document.activeElement) ? document.activeElement : null;
    document.querySelector('.verdict').append(this.panel);
    return () => {
      if (!this.asked) return;
      this.putBack();
      focus?.focus();
    };
  }

  putBack() {
    (this.placeOf() ?? document.querySelector('.verdict')).append(this.panel);
  }

  hide() {
    this.asked = null;
    this.panel.hidden = true;
    this.stepAside();
  }

  ready(words) {
    const button = make('button', { type: 'button', class: 'quiet ready' }, words);
    button.addEventListener('click', () => {
      this.reason.value = words;
      this.mark();
    });
    this.reason.oninput = () => this.mark();
    return button;
  }

  mark() {
    for (const button of field('ready-reasons').children) {
      button.setAttribute('aria-pressed', String(button.textContent === this.reason.value));
    }
  }

  note() {
    if (!this.asked) return;
    const initials = this.initials.value.trim();
    const reason = this.reason.value.trim();
    if (!initials) return this.miss(this.initials, 'Type your initials, such as AB: a review says who judged each mark.');
    if (!reason) return this.miss(this.reason, 'Say how you know: choose a reason above, or type your own.');
    const width = field('width').value.trim().replace(',', '.');
    if (width && !(Number(width) > 0)) return this.miss(field('width'), 'The width is a number of millimetres, such as 0.3.');
    keep(initials);
    this.lastReason[this.asked.action] = reason;
    const said = { initials, reason, kind: this.asked.kind ? this.kind.value : null, width: width ? Number(width) : null };
    return this.onNote(this.asked, said);
  }

  miss(input, words) {
    if (input === this.initials) this.showInitials(true);
    input.setAttribute('aria-invalid', 'true');
    input.addEventListener('input', () => input.removeAttribute('aria-invalid'), { once: true });
    input.focus();
    this.onMiss(words);
  }
}

function field(id) {
  return document.getElementById(id);
}

// Only for this tab, and only where the browser allows it; without it she is asked again.
function kept() {
  try {
    return sessionStorage.getItem(KEPT) ?? '';
  } catch {
    return '';
  }
}

function keep(initials) {
  try {
    sessionStorage.setItem(KEPT, initials);
  } catch {
    // Then the field keeps them as long as the page is open.
  }
}
