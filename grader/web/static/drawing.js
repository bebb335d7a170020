// A drawing under way: its bar of buttons, its words, and the tool that drops the points.

import { DrawTool } from './draw.js';
import { svg } from './signs.js';

const field = (id) => document.getElementById(id);
const HOW = {
  outline: 'Set points round the mark: click or tap, or move the cross with the arrow keys and press Space.',
  line: 'Set points along the scratch: click or tap, or move the cross with the arrow keys and press Space.',
};
const CORRECT = 'A point can be dragged to another place.';

export class Drawing {
  // `onDone(shape, mark)` when it is drawn, `onDone(null, mark)` when it is given up.
  constructor(viewer, layer, onDone, speak) {
    Object.assign(this, { viewer, onDone, speak });
    this.group = svg('g', { class: 'drawing' });
    layer.append(this.group);
    this.tool = null;
    field('draw-drop').addEventListener('click', () => this.tool.dropAtCross());
    field('draw-back').addEventListener('click', () => this.tool.takeBack());
    field('draw-done').addEventListener('click', () => this.finish());
    field('draw-cancel').addEventListener('click', () => this.giveUp());
  }

  get isOpen() {
    return this.tool !== null;
  }

  start(photo, shape, mark) {
    this.close();
    this.mark = mark;
    this.tool = new DrawTool(this.group, photo, shape, (news) => this.told(news));
    this.viewer.tool = this.tool;
    field('draw-bar').hidden = false;
    this.viewer.element.classList.add('drawing');
    this.viewer.wake();
    this.write(HOW[shape]);
    this.viewer.element.focus();
    this.viewer.element.scrollIntoView({ block: 'nearest' });
  }

  told({ words = '', isDone = false, isOver = false, isMoved = false }) {
    if (isOver) return this.giveUp();
    if (isDone) return this.finish();
    if (isMoved) return this.viewer.keepInView(this.tool.cross);
    return this.write(words || HOW[this.tool.shape]);
  }

  write(words) {
    const { isEnough, points } = this.tool;
    field('draw-words').textContent = isEnough ? `${words} ${CORRECT}` : words;
    field('draw-done').disabled = !isEnough;
    field('draw-back').disabled = !points.length;
  }

  finish() {
    if (this.tool.isEnough) this.onDone(this.tool.shape, this.mark);
    else this.write(this.tool.shape === 'outline' ? 'An outline needs three points at least.' : 'A line needs two points.');
  }

  giveUp() {
    this.close();
    this.speak('The drawing is given up.');
    this.onDone(null, this.mark);
  }

  // As the review notes it.
  asSent(widthMm) {
    const drawing = { photo: this.tool.photo.name, shape: this.tool.shape, points_px: this.tool.drawn() };
    return widthMm && drawing.shape === 'line' ? { ...drawing, width_mm: widthMm } : drawing;
  }

  close() {
    this.tool?.close();
    this.tool = null;
    this.viewer.tool = null;
    field('draw-bar').hidden = true;
    this.viewer.element.classList.remove('drawing');
  }
}
