// Rival: the matrix of one SVG group changes with each frame, with strokes that do not scale; so all of it is drawn
// anew with each frame.

import { boxOf, toView } from './camera.js';
import { letterSign, markSign, svg } from './signs.js';

const LEAST_RING_PX = 9; // smaller marks get a ring, or they would not be seen
const SIGN_PX = 18;
const GROUPS_DRAWN = ['found', 'possible', 'rejected'];

export class MarksLayer {
  constructor(element, other) {
    this.element = element;
    this.ground = svg('g');
    this.unseen = svg('g', { class: 'unseen' });
    this.lines = svg('g', { class: 'lines rival' });
    this.numbers = svg('g', { class: 'numbers' });
    this.hatch = svg(
      'pattern',
      { id: 'hatch', width: 9, height: 9, patternUnits: 'userSpaceOnUse' },
      svg('path', { d: 'M0 0V9', class: 'hatch-dark' }),
      svg('path', { d: 'M1.6 0V9', class: 'hatch-light' }),
    );
    this.ground.append(this.unseen, this.lines, this.numbers);
    element.append(svg('defs', {}, this.hatch), this.ground);
    this.shown = { marks: true, numbers: true, unseen: true };
    this.photo = null;
    this.marks = [];
    this.chosen = null;
  }

  // Marks that this photo shows, with their outlines in it.
  set(photo, marks, chosen) {
    this.photo = photo;
    this.chosen = chosen;
    this.marks = marks
      .map((mark) => ({ mark, outline: mark.places.find((one) => one.photo === photo.number)?.outline }))
      .filter(({ mark, outline }) => outline?.length && (GROUPS_DRAWN.includes(mark.group) || mark.number === chosen))
      .map((one) => ({ ...one, box: boxOf(one.outline) }));
  }

  show(name, isShown) {
    this.shown[name] = isShown;
  }

  // Move all of it with the photo.
  follow(camera) {
    const isScaling = camera.scale !== this.settledScale;
    const { scale, left, top } = camera;
    this.ground.setAttribute('transform', `matrix(${scale} 0 0 ${scale} ${left + scale / 2} ${top + scale / 2})`);
    this.numbers.classList.toggle('waiting', isScaling);
  }

  // Set lines and numbers to the screen's measure.
  settle(camera, view) {
    this.settledScale = camera.scale;
    this.hatch.setAttribute('patternTransform', `rotate(45) scale(${1 / camera.scale})`);
    this.lines.replaceChildren();
    this.numbers.replaceChildren();
    this.unseen.replaceChildren();
    if (!this.photo) return;
    this.numbers.classList.remove('waiting');
    if (this.shown.unseen) this.setUnseen(camera);
    if (this.shown.marks) this.setMarks(camera, view);
  }

  setUnseen(camera) {
    for (const { letter, polygons } of this.photo.unseen) {
      this.unseen.append(svg('path', { d: polygons.map(loop).join(''), class: 'hatched' }));
      if (this.shown.numbers && polygons.length) {
        const [x0, , x1] = boxOf(polygons[0]);
        if ((x1 - x0) * camera.scale > SIGN_PX) this.sign(letterSign(letter), upperRight(polygons[0]), camera);
      }
    }
  }

  setMarks(camera, view) {
    for (const group of ['doubtful', ...GROUPS_DRAWN]) {
      const those = this.marks.filter(({ mark }) => mark.group === group && mark.number !== this.chosen);
      this.stroke(those, group, camera);
    }
    this.stroke(this.marks.filter(({ mark }) => mark.number === this.chosen), 'chosen', camera);
    if (this.shown.numbers) this.setNumbers(camera, view);
  }

  stroke(those, look, camera) {
    if (!those.length) return;
    const d = those.map(({ outline, box }) => lineRound(outline, box, camera)).join('');
    this.lines.append(svg('path', { d, class: `halo ${look}` }), svg('path', { d, class: `line ${look}` }));
  }

  // Numbers beside their marks; where two would cover one another, the less weighty is left out until one goes nearer.
  setNumbers(camera, view) {
    const taken = [];
    const isSeen = ([x, y]) => x > -40 && y > -40 && x < view.width + 40 && y < view.height + 40;
    for (const { mark, box } of this.byWeight()) {
      if (!isSeen(toView(camera, [(box[0] + box[2]) / 2, (box[1] + box[3]) / 2]))) continue;
      const spot = spotsRound(box, camera).find((one) => taken.every((other) => apart(one, other)));
      if (!spot && mark.number !== this.chosen) continue;
      const at = spot ?? spotsRound(box, camera)[0];
      taken.push(at);
      const sign = markSign(mark.kind, mark.number, mark.group, mark.status);
      if (mark.number === this.chosen) sign.classList.add('chosen');
      this.sign(sign, [(at[0] - camera.left) / camera.scale - 0.5, (at[1] - camera.top) / camera.scale - 0.5], camera);
    }
  }

  byWeight() {
    const weight = ({ mark }) =>
      mark.number === this.chosen ? -1 : { found: 0, rejected: 1000, possible: 2000, doubtful: 3000 }[mark.group] + mark.number;
    return [...this.marks].sort((a, b) => weight(a) - weight(b));
  }

  sign(sign, [x, y], camera) {
    sign.setAttribute('transform', `translate(${x} ${y}) scale(${1 / camera.scale})`);
    this.numbers.append(sign);
  }

  // The mark at a place of the view, the smallest where several are.
  markAt(camera, [x, y]) {
    if (!this.shown.marks) return null;
    const reach = LEAST_RING_PX + 3;
    const hit = this.marks.filter(({ box }) => {
      const [x0, y0] = toView(camera, [box[0], box[1]]);
      const [x1, y1] = toView(camera, [box[2], box[3]]);
      const [padX, padY] = [Math.max(reach - (x1 - x0) / 2, 4), Math.max(reach - (y1 - y0) / 2, 4)];
      return x > x0 - padX && x < x1 + padX && y > y0 - padY && y < y1 + padY;
    });
    const size = ({ box }) => (box[2] - box[0]) * (box[3] - box[1]);
    return hit.sort((a, b) => size(a) - size(b))[0]?.mark ?? null;
  }
}

function loop(points) {
  return `M${points.map(([x, y]) => `${x} ${y}`).join('L')}Z`;
}

// The outline itself, or a ring where that would be too small to see.
function lineRound(outline, [x0, y0, x1, y1], camera) {
  const reach = LEAST_RING_PX / camera.scale;
  if (Math.max(x1 - x0, y1 - y0) / 2 >= reach) return loop(outline);
  const [x, y] = [(x0 + x1) / 2, (y0 + y1) / 2];
  return `M${x - reach} ${y}a${reach} ${reach} 0 1 1 ${2 * reach} 0a${reach} ${reach} 0 1 1 ${-2 * reach} 0Z`;
}

// Places of the view for a mark's number: right above, left above, right below, left below, above, below.
function spotsRound(box, camera) {
  const [x0, y0] = toView(camera, [box[0], box[1]]);
  const [x1, y1] = toView(camera, [box[2], box[3]]);
  const grow = Math.max(LEAST_RING_PX - Math.min(x1 - x0, y1 - y0) / 2, 0) * 0.7;
  const [left, right, up, down] = [x0 - 12 - grow, x1 + 12 + grow, y0 - 12 - grow, y1 + 12 + grow];
  const x = (x0 + x1) / 2;
  return [[right, up], [left, up], [right, down], [left, down], [x, up - 6], [x, down + 6]];
}

function apart([ax, ay], [bx, by]) {
  return Math.abs(ax - bx) > 1.6 * SIGN_PX || Math.abs(ay - by) > 1.5 * SIGN_PX;
}

// On the border and not in the middle, which may lie outside, as that of a ring.
function upperRight(points) {
  return points.reduce((best, one) => (one[0] - one[1] > best[0] - best[1] ? one : best));
}
