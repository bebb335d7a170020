// The photos of a set, to be switched between.

import { make } from './mark_list.js';

export class PhotoChoice {
  constructor(element, photos, onChoose) {
    this.buttons = new Map();
    if (!element) return;
    for (const photo of photos) {
      const button = make(
        'button',
        { type: 'button', class: 'quiet photo-button' },
        make('img', { src: `${photo.address}/small.jpg`, alt: '', loading: 'lazy', width: 56, height: 42 }),
        make('span', {}, photo.name, photo.is_main ? make('span', { class: 'note' }, ' main photo') : ''),
      );
      button.addEventListener('click', () => onChoose(photo));
      element.append(button);
      this.buttons.set(photo, button);
    }
  }

  mark(photo) {
    for (const [one, button] of this.buttons) button.setAttribute('aria-pressed', String(one === photo));
  }
}
