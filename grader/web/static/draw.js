// Drawing a mark: points dropped by mouse, by touch, or by keys that move a cross. Places are px of the photo.

import { toPhoto, toView } from './camera.js';
import { svg } from './signs.js';

const LEAST = { outline: 3, line: 2 };
const MOST_POINTS = 500;
const GRAB_PX = { mouse: 9, pen: 12, touch: 22 };

export class DrawTool {
  // `told({words, isDone, isOver, isMoved})` is called after each change; all of these may be left out.
  constructor(group, photo, shape, told) {
    Object.assign(this, { group, photo, shape, told });
    this.points = [];
    this.cross = [photo.width / 2, photo.height / 2];
    this.isCentred = true; // the cross stays in the middle of the view until mouse or keys move it
    this.held = null;
    this.camera = null;
    this.isOpen = true;
    this.area = svg('path', { class: 'drawn-area' });
    this.halo = svg('path', { class: 'drawn halo' });
    this.line = svg('path', { class: 'drawn line' });
    this.dots = svg('path', { class: 'drawn dots' });
    this.hair = svg('path', { class: 'hair halo' });
    this.hairLine = svg('path', { class: 'hair line' });
    group.replaceChildren(this.area, this.halo, this.line, this.dots, this.hair, this.hairLine);
  }

  get isEnough() {
    return this.points.length >= LEAST[this.shape];
  }

  // The points as they are sent: those of the record, to a hundredth of a px.
  drawn() {
    return this.points.map(([x, y]) => [round(x), round(y)]);
  }

  close() {
    this.isOpen = false;
    this.group.replaceChildren();
  }

  follow(camera, view) {
    this.camera = camera;
    this.view = view;
    if (this.isCentred) this.cross = this.inside(toPhoto(camera, [view.width / 2, view.height / 2]));
    this.render();
  }

  tap(place, kind) {
    this.isCentred = kind !== 'mouse';
    if (!this.isCentred) this.cross = this.inside(place);
    this.add(this.inside(place));
  }

  hover(place) {
    this.isCentred = false;
    this.cross = this.inside(place);
    this.render();
  }

  // Whether a point that was dropped lies under the pointer, and is taken up.
  grab(place, kind) {
    const reach = (GRAB_PX[kind] ?? 12) / this.camera.scale;
    const at = this.points.findIndex(([x, y]) => Math.hypot(x - place[0], y - place[1]) < reach);
    this.held = at < 0 ? null : at;
    this.wasHeld = false;
    return this.held !== null;
  }

  drag(place) {
    this.wasHeld = true;
    this.points[this.held] = this.inside(place);
    this.told({});
    this.render();
  }

  drop() {
    const isFirst = this.held === 0 && !this.wasHeld;
    this.held = null;
    // A tap on the first point closes an outline.
    if (isFirst && this.shape === 'outline' && this.isEnough) this.told({ isDone: true });
    else this.told({});
  }

  dropAtCross() {
    this.add(this.cross);
  }

  add(place) {
    if (this.points.length >= MOST_POINTS) return this.told({ words: `A drawing has at most ${MOST_POINTS} points.` });
    const last = this.points.at(-1);
    if (last && last[0] === place[0] && last[1] === place[1]) return this.told({ words: 'There is a point here already.' });
    this.points.push([...place]);
    this.render();
    return this.told({ words: `Point ${this.points.length} set at ${Math.round(place[0])}, ${Math.round(place[1])}.` });
  }

  takeBack() {
    if (!this.points.length) return;
    this.points.pop();
    this.render();
    this.told({ words: `Point taken back; ${this.points.length} left.` });
  }

  // Keys while the photo has the focus; returns whether the key was meant for the drawing.
  key(event) {
    const { key, shiftKey } = event;
    const moves = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    if (moves[key]) this.moveCross(moves[key], shiftKey);
    else if (key === ' ') this.dropAtCross();
    else if (key === 'Backspace' || key === 'Delete') this.takeBack();
    else if (key === 'Enter') this.told({ isDone: true });
    else if (key === 'Escape') this.told({ isOver: true });
    else return false;
    return true;
  }

  // One pixel a step where pixels are large, some screen px where they are small.
  moveCross([dx, dy], isFar) {
    const step = Math.max(1, Math.round(3 / this.camera.scale)) * (isFar ? 10 : 1);
    this.isCentred = false;
    this.cross = this.inside([Math.round(this.cross[0]) + dx * step, Math.round(this.cross[1]) + dy * step]);
    this.told({ isMoved: true });
    this.render();
  }

  inside([x, y]) {
    const { width, height } = this.photo;
    return [Math.min(Math.max(x, 0), width - 1), Math.min(Math.max(y, 0), height - 1)];
  }

  render() {
    if (!this.camera || !this.isOpen) return;
    const at = this.points.map((point) => toView(this.camera, point));
    const open = at.length ? `M${at.map((point) => point.join(' ')).join('L')}` : '';
    const d = this.shape === 'outline' && at.length > 2 ? `${open}Z` : open;
    this.area.setAttribute('d', this.shape === 'outline' ? d : '');
    this.halo.setAttribute('d', d);
    this.line.setAttribute('d', d);
    this.dots.setAttribute('d', at.map(([x, y]) => `M${x - 4} ${y - 4}h8v8h-8Z`).join(''));
    const [x, y] = toView(this.camera, this.cross);
    const hair = `M${x - 26} ${y}h20m12 0h20M${x} ${y - 26}v20m0 12v20`;
    this.hair.setAttribute('d', hair);
    this.hairLine.setAttribute('d', hair);
  }
}

function round(value) {
  return Math.round(value * 100) / 100;
}
