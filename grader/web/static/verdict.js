// Grade, what her word changed of it, the log, and the legend.

import { make } from './mark_list.js';
import { letterSign, markSign, signPicture } from './signs.js';

const field = (id) => document.getElementById(id);

export function showGrade(state) {
  const { grade, found_grade: found, is_reviewed: isReviewed } = state;
  field('grade-who').textContent = isReviewed ? 'By your word' : 'By the program';
  field('grade-headline').textContent = grade.headline;
  field('grade-score').textContent = grade.score;
  field('grade-range').textContent = grade.score_range;
  field('found-grade').hidden = !isReviewed;
  field('found-words').textContent = `${found.headline}; ${found.score} of 100, ${found.score_range}`;
  field('changes-box').hidden = !isReviewed;
  field('change-whole').textContent = state.changes[0];
  write(field('changes'), state.changes.slice(1));
  write(field('reasons'), grade.reasons);
  field('sealed').hidden = !state.sealed;
  field('sealed-words').textContent = state.sealed;
  field('undo-box').hidden = !state.undo_words || Boolean(state.sealed);
  field('undo-words').textContent = state.undo_words;
}

export function showLog(state, onUndo) {
  field('log-box').hidden = !state.log.length;
  field('log').replaceChildren(
    ...state.log.map((entry) => {
      const words = `${entry.words}, by ${entry.by}: ${entry.reason}. ${entry.when}${entry.counts ? '' : ' (taken back)'}`;
      const item = make('li', { class: entry.counts ? '' : 'taken-back' }, words);
      if (!entry.can_undo || state.sealed) return item;
      const button = make('button', { type: 'button', class: 'quiet small-button', 'aria-label': `Take back entry ${entry.number}: ${entry.words}` }, 'Take back');
      button.addEventListener('click', () => onUndo(entry));
      item.append(' ', button);
      return item;
    }),
  );
}

// What the signs mean: shape, number and word.
export function fillSigns(list, kinds, photos) {
  const row = (sign, words) => make('li', {}, signPicture(sign), make('span', {}, words));
  const rows = kinds.map(({ kind, words, meaning }) => row(markSign(kind, '', 'found'), `${words}: ${meaning}`));
  rows.push(row(markSign('bubble', '', 'possible'), 'dashed: less likely than not'));
  rows.push(row(markSign('bubble', '', 'found', 'confirmed'), 'with a tick: you say that it is there, or added it'));
  rows.push(row(markSign('bubble', '', 'rejected'), 'crossed out: you say that it is not a mark'));
  const unseen = new Map(photos.flatMap((photo) => photo.unseen.map((one) => [`${photo.name} ${one.letter}`, [photo, one]])));
  for (const [photo, one] of unseen.values()) {
    const where = photos.length > 1 ? ` (${photo.name})` : '';
    rows.push(row(letterSign(one.letter), `hatched: could not be seen; ${one.words}${where}`));
  }
  list.replaceChildren(...rows);
}

function write(list, sentences) {
  list.replaceChildren(...sentences.map((words) => make('li', {}, words)));
}
