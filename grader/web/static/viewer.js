// The photo large: camera, gestures and keys; tells its layers to follow, and to settle once it rests.

import * as cam from './camera.js';
import { listen } from './gestures.js';
import { Picture } from './picture.js';

const REST_MS = 140;
const STEP_PX = 60;
const STEP_RATIO = 1.35;
const SINGLE_PIXELS = 8;
const MOST_FOR_PIECE = 4;

export class Viewer {
  constructor(element, { canvas, tile, layers, onChange, onTap, keys }) {
    Object.assign(this, { element, layers, onChange, onTap, keys });
    this.picture = new Picture(canvas, tile, () => this.wake());
    this.view = { width: element.clientWidth, height: element.clientHeight };
    this.camera = { scale: 1, left: 0, top: 0 };
    this.photo = null;
    this.tool = null;
    this.isAwake = false;
    new ResizeObserver(() => this.resized()).observe(element);
    listen(element, this.wishes());
    element.addEventListener('keydown', (event) => this.key(event));
  }

  // Show a photo; the whole piece first.
  async show(photo, camera = null) {
    this.photo = photo;
    this.camera = camera ?? this.pieceCamera();
    this.rest();
    return this.picture.show(photo);
  }

  pieceCamera() {
    const { photo } = this;
    const box = photo.outline.length ? cam.boxOf(photo.outline) : [0, 0, photo.width - 1, photo.height - 1];
    return cam.fitted(box, this.view, 0.12, MOST_FOR_PIECE);
  }

  wishes() {
    return {
      move: (dx, dy) => this.moveBy(dx, dy),
      scale: (ratio, at) => this.scaleBy(ratio, at),
      tap: (at, kind) => (this.tool ? this.tool.tap(this.at(at), kind) : this.onTap(at)),
      twice: (at) => this.tool ?? this.scaleBy(2.5, at),
      grab: (at, kind) => this.tool?.grab(this.at(at), kind) ?? false,
      drag: (at) => this.tool?.drag(this.at(at)),
      drop: () => this.tool?.drop(),
      hover: (at) => this.tool?.hover(this.at(at)),
      isWhole: () => this.isWhole(),
    };
  }

  at(place) {
    return cam.toPhoto(this.camera, place);
  }

  isWhole() {
    return !this.photo || this.camera.scale <= cam.leastScale(this.photo, this.view) * 1.01;
  }

  moveBy(dx, dy) {
    this.go(cam.movedBy(this.camera, dx, dy));
  }

  scaleBy(ratio, at = [this.view.width / 2, this.view.height / 2]) {
    if (!this.photo) return;
    const least = cam.leastScale(this.photo, this.view);
    const scale = Math.min(Math.max(this.camera.scale * ratio, least), cam.MOST_SCALE);
    this.go(cam.scaledAt(this.camera, scale, at));
  }

  wholePiece() {
    this.go(this.pieceCamera());
  }

  singlePixels() {
    this.scaleBy(SINGLE_PIXELS / this.camera.scale);
  }

  // Bring a box of the photo into view; nearer only where it is too small to judge.
  look(box) {
    const whole = cam.fitted(box, this.view, 1.5, SINGLE_PIXELS);
    const isSmall = this.camera.scale < whole.scale * 0.35;
    const isLarge = this.camera.scale > whole.scale * 2.2;
    const middle = [(box[0] + box[2]) / 2, (box[1] + box[3]) / 2];
    const scale = isSmall || isLarge ? whole.scale : this.camera.scale;
    this.go(cam.placed(middle, [this.view.width / 2, this.view.height / 2], scale));
  }

  // Move the view only as far as a place needs to be seen.
  keepInView(place) {
    const [x, y] = cam.toView(this.camera, place);
    const room = 40;
    const off = (at, length) => Math.min(Math.max(at, room), length - room) - at;
    const [dx, dy] = [off(x, this.view.width), off(y, this.view.height)];
    if (dx || dy) this.moveBy(dx, dy);
  }

  go(camera) {
    if (!this.photo) return;
    this.camera = cam.kept(camera, this.photo, this.view);
    this.element.classList.toggle('whole', this.isWhole());
    this.wake();
    clearTimeout(this.resting);
    this.resting = setTimeout(() => this.rest(), REST_MS);
  }

  // Have lines and numbers set anew.
  rest() {
    clearTimeout(this.resting);
    this.mustSettle = true;
    this.wake();
  }

  wake() {
    if (this.isAwake) return;
    this.isAwake = true;
    requestAnimationFrame(() => {
      this.isAwake = false;
      this.frame();
    });
  }

  frame() {
    this.tool?.follow(this.camera, this.view);
    this.picture.draw(this.camera, this.view);
    for (const layer of this.layers) layer.follow(this.camera, this.view);
    if (!this.mustSettle) return;
    this.mustSettle = false;
    for (const layer of this.layers) if (layer.settle(this.camera, this.view)) this.wake();
    this.onChange(this.camera);
  }

  resized() {
    const { clientWidth: width, clientHeight: height } = this.element;
    if (!width || !height || (width === this.view.width && height === this.view.height)) return;
    const middle = this.at([this.view.width / 2, this.view.height / 2]);
    const wasPiece = this.photo && Math.abs(this.camera.scale / this.pieceCamera().scale - 1) < 0.01;
    this.view = { width, height };
    if (!this.photo) return;
    this.go(wasPiece ? this.pieceCamera() : cam.placed(middle, [width / 2, height / 2], this.camera.scale));
    this.rest();
  }

  key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (this.tool?.key(event) || this.moveKey(event) || this.keys(event)) event.preventDefault();
  }

  moveKey({ key, shiftKey }) {
    const step = shiftKey ? 5 * STEP_PX : STEP_PX;
    const moves = { ArrowLeft: [step, 0], ArrowRight: [-step, 0], ArrowUp: [0, step], ArrowDown: [0, -step] };
    if (moves[key]) this.moveBy(...moves[key]);
    else if (key === '+' || key === '=') this.scaleBy(STEP_RATIO);
    else if (key === '-' || key === '_') this.scaleBy(1 / STEP_RATIO);
    else if (key === '0') this.wholePiece();
    else if (key === '1') this.singlePixels();
    else return false;
    return true;
  }
}
