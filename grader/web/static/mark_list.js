// The list of marks beside the photo: all that the picture shows, in words, and what can be said of each.

import { markSign, signPicture } from './signs.js';

const ORDER = ['found', 'possible', 'rejected', 'doubtful'];

export class MarkList {
  // `wishes`: {choose(number), act(action, mark)}
  constructor(element, groups, wishes) {
    Object.assign(this, { element, groups, wishes });
    this.isDoubtfulOpen = false;
  }

  // Write the list; the chosen mark is open, with its buttons.
  show(state, chosen, photo) {
    const focus = this.element.contains(document.activeElement) ? document.activeElement.dataset.key : null;
    const parts = ORDER.map((group) => this.group(group, state, chosen, photo)).filter(Boolean);
    if (!parts.length) parts.push(note(NOTHING_FOUND));
    this.element.replaceChildren(...parts);
    if (focus) this.element.querySelector(`[data-key="${focus}"]`)?.focus();
  }

  // Where the panel for a mark belongs.
  placeFor(number) {
    return this.element.querySelector(`[data-mark="${number}"] .mark-more`) ?? null;
  }

  focus(number) {
    this.element.querySelector(`[data-key="mark-${number}"]`)?.focus();
  }

  group(group, state, chosen, photo) {
    const marks = state.marks.filter((mark) => mark.group === group);
    if (!marks.length) return null;
    const { heading, note: words } = this.groups[group];
    const list = make('ul', { class: 'mark-list' }, ...marks.map((mark) => this.item(mark, state, chosen, photo)));
    if (group !== 'doubtful') {
      return make('section', {}, make('h2', { class: 'small' }, heading), ...(words ? [note(words)] : []), list);
    }
    const box = make('details', {}, make('summary', {}, `${heading} (${marks.length})`), note(words), list);
    box.open = this.isDoubtfulOpen || marks.some((mark) => mark.number === chosen);
    box.addEventListener('toggle', () => { this.isDoubtfulOpen = box.open; });
    return box;
  }

  item(mark, state, chosen, photo) {
    const isChosen = mark.number === chosen;
    const isHere = mark.places.some((place) => place.photo === photo.number);
    const head = make(
      'button',
      { type: 'button', class: 'mark-head', 'aria-expanded': String(isChosen), 'data-key': `mark-${mark.number}` },
      signPicture(markSign(mark.kind, mark.number, mark.group, mark.status)),
      make(
        'span',
        { class: 'mark-words' },
        make('span', { class: 'seen-by-readers' }, `Mark ${mark.number}: `),
        make('strong', {}, `${mark.kind_words}, ${mark.size}`),
        make('span', {}, [mark.place, isHere ? '' : 'not in this photo'].filter(Boolean).join('; ')),
        make('span', { class: 'note' }, `${mark.sure}; ${mark.cost}`),
      ),
    );
    head.addEventListener('click', () => this.wishes.choose(isChosen ? null : mark.number));
    const item = make('li', { 'data-mark': mark.number, class: isChosen ? 'chosen' : '' }, head);
    if (isChosen) item.append(this.more(mark, state, photo));
    return item;
  }

  more(mark, state, photo) {
    const facts = [mark.found, mark.reason && `You said: ${mark.reason}.`, `It lies ${mark.depth}.`, mark.photos && `It is ${mark.photos}.`];
    const box = make('div', { class: 'mark-more' }, note(facts.filter(Boolean).join(' ').replace('lies undecided', 'may lie on or in the glass')));
    if (state.sealed) return box;
    const row = make('div', { class: 'row' });
    for (const [action, words, isAsIs] of this.actions(mark)) {
      const button = make('button', { type: 'button', class: 'quiet', 'data-key': `${action}-${mark.number}` }, words);
      if (isAsIs) button.setAttribute('aria-pressed', 'true');
      if (action === 'redraw' && photo.no_drawing) {
        button.disabled = true;
        box.append(note(photo.no_drawing));
      }
      button.addEventListener('click', () => this.wishes.act(action, mark));
      row.append(button);
    }
    box.append(row);
    return box;
  }

  actions(mark) {
    return [
      ['confirm', 'It is there', mark.status === 'confirmed'],
      ['reject', 'Not a mark', mark.status === 'rejected'],
      ['relabel', 'It is something else', false],
      ['redraw', 'Draw it anew', false],
    ];
  }
}

const NOTHING_FOUND =
  'No mark was found where the photos show the glass. That does not mean that there is none: see below what could not be seen.';

export function make(name, attributes = {}, ...children) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  element.append(...children);
  return element;
}

function note(words) {
  return make('p', { class: 'note' }, words);
}
