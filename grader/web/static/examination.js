// The page of an examination: photo and marks, and what she says of them.

import { boxOf } from './camera.js';
import { Drawing } from './drawing.js';
import { MarkList } from './mark_list.js';
import { MarksLayer } from './marks_layer.js';
import { PhotoChoice } from './photo_choice.js';
import { Saying } from './saying.js';
import { fillSigns, showGrade, showLog } from './verdict.js';
import { Viewer } from './viewer.js';

const field = (id) => document.getElementById(id);
const ADDRESS = `${field('result').dataset.address}/review.json`;

class Page {
  constructor({ photos, kinds, groups, tile, state }) {
    Object.assign(this, { photos, kinds, state });
    this.photo = photos.find((one) => one.is_main) ?? photos[0];
    this.chosen = null;
    field('stage').hidden = false;
    this.layer = new MarksLayer(field('lines'), field('numbers'));
    this.viewer = new Viewer(field('viewer'), {
      canvas: field('picture'),
      tile,
      layers: [this.layer],
      onChange: (camera) => this.told(camera),
      onTap: (at) => this.tapped(at),
      keys: (event) => this.key(event),
    });
    this.list = new MarkList(field('marks'), groups, {
      choose: (number) => this.choose(number, { look: true }),
      act: (action, mark) => this.act(action, mark),
    });
    this.saying = new Saying(kinds, (asked, said) => this.note(asked, said), () => this.left());
    this.saying.onMiss = (words) => this.message(words, 'warn');
    this.drawing = new Drawing(this.viewer, field('drawn'), (shape, mark) => this.drawn(shape, mark), (words) => speak(words));
    this.choice = new PhotoChoice(field('photo-choice'), photos, (photo) => this.show(photo));
    this.listen();
    fillSigns(field('signs'), kinds, photos);
    this.refresh();
    this.show(this.photo);
  }

  listen() {
    const on = (id, wish) => field(id).addEventListener('click', wish);
    on('nearer', () => this.viewer.scaleBy(1.5));
    on('further', () => this.viewer.scaleBy(1 / 1.5));
    on('whole-piece', () => this.viewer.wholePiece());
    on('single-pixels', () => this.viewer.singlePixels());
    on('draw-outline', () => this.draw('outline', null));
    on('draw-line', () => this.draw('line', null));
    on('undo', () => this.ask({ action: 'undo', heading: `Take back: ${this.state.undo_words}` }, () => field('undo-place')));
    // The browser asks before a drawing is lost.
    window.addEventListener('beforeunload', (event) => {
      if (this.drawing.tool?.points.length) event.preventDefault();
    });
    on('message-close', () => this.message(''));
    for (const name of ['marks', 'numbers', 'unseen']) {
      field(`show-${name}`).addEventListener('change', ({ target }) => this.toggle(name, target.checked));
    }
  }

  // ---- what is shown

  async show(photo) {
    if (this.drawing.isOpen && photo !== this.photo) {
      this.message('You are drawing on this photo. Finish the drawing or give it up, then go to another.', 'warn');
      return;
    }
    this.photo = photo;
    this.choice.mark(photo);
    this.refresh();
    field('viewer').setAttribute('aria-label', `Photo ${photo.name} with marks`);
    const isThere = await this.viewer.show(photo);
    if (photo !== this.photo) return;
    field('viewer-note').hidden = isThere;
    field('viewer-note').textContent = `The photo ${photo.name} is not stored with this examination, or cannot be read. Its marks are drawn where they were found.`;
  }

  // Write all that follows from the state, the chosen mark and the photo.
  refresh() {
    const { state } = this;
    const bringBack = this.saying.stepAside();
    showGrade(state);
    showLog(state, (entry) => this.ask({ action: 'undo', entry: entry.number, heading: `Take back: ${entry.words}` }, () => field('log-box')));
    this.list.show(state, this.chosen, this.photo);
    bringBack();
    this.layer.set(this.photo, state.marks, this.chosen);
    field('draw-start').hidden = Boolean(state.sealed) || this.drawing.isOpen;
    for (const id of ['draw-outline', 'draw-line']) {
      field(id).disabled = Boolean(this.photo.no_drawing);
    }
    field('no-drawing').hidden = !this.photo.no_drawing || Boolean(state.sealed);
    field('no-drawing').textContent = this.photo.no_drawing;
    this.viewer.rest();
  }

  choose(number, { look = false, focus = false } = {}) {
    if (this.saying.asked && this.saying.asked.mark?.number !== number && !this.drawing.isOpen) this.saying.hide();
    this.chosen = number;
    const mark = this.mark(number);
    const isElsewhere = mark?.places.length && !mark.places.some((one) => one.photo === this.photo.number);
    if (isElsewhere) this.show(this.photos[mark.best_photo]);
    if (!isElsewhere || this.drawing.isOpen) this.refresh();
    if (focus) this.list.focus(number);
    const place = mark?.places.find((one) => one.photo === this.photo.number);
    if (look && place) this.viewer.look(boxOf(place.outline));
  }

  mark(number) {
    return this.state.marks.find((one) => one.number === number);
  }

  tapped(at) {
    const mark = this.layer.markAt(this.viewer.camera, at);
    this.choose(mark?.number ?? null);
    if (mark) this.list.placeFor(mark.number)?.parentElement.scrollIntoView({ block: 'nearest' });
  }

  // Next mark, mark before, hide and show.
  key({ key }) {
    const drawn = this.state.marks.filter((one) => one.group !== 'doubtful' && one.places.length);
    const at = drawn.findIndex((one) => one.number === this.chosen);
    const step = { n: 1, b: -1 }[key.toLowerCase()];
    if (step && drawn.length) {
      const next = drawn[at < 0 ? (step > 0 ? 0 : drawn.length - 1) : (at + step + drawn.length) % drawn.length];
      this.choose(next.number, { look: true });
      speak(`Mark ${next.number}: ${next.kind_words}, ${next.size}, ${next.place}; ${next.sure}; ${next.cost}.`);
    } else if (key.toLowerCase() === 'm') {
      field('show-marks').click();
      speak(field('show-marks').checked ? 'Marks are shown.' : 'Marks are hidden.');
    } else return false;
    return true;
  }

  toggle(name, isShown) {
    this.layer.show(name, isShown);
    this.viewer.rest();
  }

  told(camera) {
    const percent = 100 * camera.scale;
    field('magnification').textContent = `${percent < 10 ? percent.toFixed(1) : Math.round(percent)} %`;
  }

  // ---- what she says

  act(action, mark) {
    if (action === 'redraw') return this.draw(mark.kind === 'scratch' ? 'line' : 'outline', mark);
    const headings = {
      confirm: `Mark ${mark.number} is there`,
      reject: `Mark ${mark.number} is not a mark`,
      relabel: `Mark ${mark.number} is something else`,
    };
    const kind = action === 'relabel' ? mark.kind : null;
    return this.ask({ action, mark, kind, heading: headings[action] }, () => this.list.placeFor(mark.number));
  }

  ask(asked, placeOf) {
    this.message('');
    this.saying.ask(asked, placeOf);
  }

  left() {
    this.refresh();
    if (this.drawing.isOpen) field('viewer').focus();
    else if (this.chosen) this.list.focus(this.chosen);
  }

  draw(shape, mark) {
    this.saying.hide();
    this.message('');
    this.drawing.start(this.photo, shape, mark);
    field('draw-start').hidden = true;
  }

  // A drawing is done (or given up: shape null), and she is asked what it is.
  drawn(shape, mark) {
    if (!shape) {
      this.saying.hide();
      this.refresh();
      return;
    }
    const heading = mark ? `Mark ${mark.number}, drawn anew` : 'A new mark';
    const kind = mark ? null : shape === 'line' ? 'scratch' : 'chip';
    const asked = { action: mark ? 'redraw' : 'add', mark, kind, heading, hasWidth: shape === 'line' };
    const beside = window.matchMedia('(min-width: 58rem)').matches;
    this.ask(asked, () => (mark && beside ? this.list.placeFor(mark.number) : field(beside ? 'new-mark' : 'draw-bar')));
  }

  async note(asked, said) {
    if (this.isBusy) return;
    this.isBusy = true;
    field('note-it').disabled = true;
    speak('It is being noted.');
    const wish = { act: this.actOf(asked, said), initials: said.initials, reason: said.reason };
    const answer = await post({ entries: this.state.entries, wishes: [wish] });
    this.isBusy = false;
    field('note-it').disabled = false;
    if (answer.state) this.state = answer.state;
    if (!answer.isDone) {
      // What she said or drew stays as it is; only what others noted is shown.
      if (answer.state) this.refresh();
      this.message([answer.problem, answer.remedy].filter(Boolean).join('\n'), 'bad');
      return;
    }
    this.done(asked, answer);
  }

  done(asked, answer) {
    this.saying.hide();
    this.drawing.close();
    if (asked.action === 'add') this.chosen = Math.max(...this.state.marks.map((one) => one.number));
    if (asked.mark) this.chosen = asked.mark.number;
    if (!this.mark(this.chosen)) this.chosen = null;
    this.refresh();
    const { grade, changes } = this.state;
    this.message([`Noted. ${changes[0]}`, ...answer.notes].join('\n'), answer.notes.length ? 'warn' : 'good');
    speak(`Noted. ${changes[0]} Now ${grade.headline}; ${grade.score} of 100.`);
    if (this.chosen) this.list.focus(this.chosen);
    else field('viewer').focus();
  }

  actOf({ action, mark, entry }, said) {
    if (action === 'undo') return entry ? { action, entry } : { action };
    const act = { action };
    if (mark) act.mark = mark.number;
    if (said.kind) act.kind = said.kind;
    if (action === 'add' || action === 'redraw') act.drawing = this.drawing.asSent(said.width);
    return act;
  }

  message(words, look = '') {
    const box = field('message');
    box.hidden = !words;
    box.className = `notice message ${look}`;
    field('message-words').textContent = words;
  }
}

// For those who hear the page.
function speak(words) {
  field('spoken').textContent = words;
}

async function post(body) {
  const csrf = document.querySelector('meta[name="csrf"]')?.content ?? '';
  try {
    const answer = await fetch(ADDRESS, {
      method: 'POST',
      headers: { 'Content-Type': 'application/json', Accept: 'application/json', 'X-Csrf': csrf },
      body: JSON.stringify(body),
    });
    return { ...(await answer.json()), isDone: answer.ok };
  } catch {
    return { isDone: false, problem: 'The program does not answer, so nothing was noted.', remedy: 'See whether it still runs, and try again: what you said and drew is still here.' };
  }
}

async function start() {
  const answer = await fetch(ADDRESS, { headers: { Accept: 'application/json' } });
  const facts = await answer.json();
  if (!answer.ok) {
    field('message').hidden = false;
    field('message-words').textContent = `${facts.problem} ${facts.remedy}`;
    return;
  }
  window.examination = new Page(facts);
}

start();
