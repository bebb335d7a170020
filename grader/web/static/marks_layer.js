// Marks, unseen parts and numbers as SVG over the photo.
//
// Drawing them anew takes a frame or more where there is no graphics card, so it is done only where the photo rests:
// while it moves, the pictures of lines and numbers are moved with it as they are.

import { boxOf, toView } from './camera.js';
import { letterSign, markSign, svg } from './signs.js';

const LEAST_RING_PX = 9; // smaller marks get a ring, or they would not be seen
const SIGN_PX = 18;
const CLOSE_POINTS_PX = 0.8; // points of an outline that lie closer on the screen add nothing
const REACH_PX = 2500; // what is drawn beyond the view, so that it is there when the photo is moved
// Lines of one look that begin in the same square of this side are one path: three hundred marks are some hundred
// elements, and where a part of the screen is drawn, not all of them have to be looked at.
const CELL_PX = 200;
const NUMBERS_FIT = [0.55, 1.8]; // beyond, numbers that only grow or shrink with the photo are hidden until it rests
const GROUPS_DRAWN = ['found', 'possible', 'rejected'];

export class MarksLayer {
  constructor(lines, numbers) {
    const hatch = svg(
      'pattern',
      { id: 'hatch', width: 9, height: 9, patternUnits: 'userSpaceOnUse', patternTransform: 'rotate(45)' },
      svg('path', { d: 'M0 0V9', class: 'hatch-dark' }),
      svg('path', { d: 'M1.6 0V9', class: 'hatch-light' }),
    );
    this.lines = { element: lines, ground: svg('g'), camera: null };
    this.numbers = { element: numbers, ground: svg('g'), camera: null };
    lines.append(svg('defs', {}, hatch), this.lines.ground);
    numbers.append(this.numbers.ground);
    this.shown = { marks: true, numbers: true, unseen: true };
    this.photo = null;
    this.marks = [];
    this.chosen = null;
    this.isStale = true;
  }

  // Marks that this photo shows, with their outlines in it.
  set(photo, marks, chosen) {
    this.photo = photo;
    this.chosen = chosen;
    this.isStale = true;
    this.marks = marks
      .map((mark) => ({ mark, outline: mark.places.find((one) => one.photo === photo.number)?.outline }))
      .filter(({ mark, outline }) => outline?.length && (GROUPS_DRAWN.includes(mark.group) || mark.number === chosen))
      .map((one) => ({ ...one, box: boxOf(one.outline) }));
  }

  show(name, isShown) {
    this.shown[name] = isShown;
    this.isStale = true;
  }

  // Move all of it with the photo.
  follow(camera, view) {
    if (this.areNumbersDue) this.drawNumbers(camera, view);
    moved(this.lines, camera);
    const ratio = moved(this.numbers, camera);
    this.numbers.element.style.opacity = ratio > NUMBERS_FIT[0] && ratio < NUMBERS_FIT[1] ? 1 : 0;
  }

  // Draw it anew for where the photo rests now; numbers a frame later. Returns whether there is more to come.
  settle(camera, view) {
    const was = this.lines.camera;
    const isNear = was && Math.hypot(camera.left - was.left, camera.top - was.top) < 0.6 * REACH_PX;
    if (!this.isStale && isNear && was.scale === camera.scale) return false;
    this.isStale = false;
    this.lines.camera = camera;
    this.lines.ground.replaceChildren();
    if (!this.photo) return false;
    if (this.shown.unseen) for (const { polygons } of this.photo.unseen) this.drawUnseen(polygons, camera);
    if (this.shown.marks) this.drawMarks(camera, view);
    moved(this.lines, camera);
    this.areNumbersDue = true;
    return true;
  }

  drawUnseen(polygons, camera) {
    this.lines.ground.append(svg('path', { d: polygons.map((points) => loop(points, camera)).join(''), class: 'hatched' }));
  }

  drawMarks(camera, view) {
    const near = this.marks.filter(({ box }) => isNearView(box, camera, view));
    for (const group of ['doubtful', ...GROUPS_DRAWN]) {
      this.stroke(near.filter(({ mark }) => mark.group === group && mark.number !== this.chosen), group, camera);
    }
    for (const one of near.filter(({ mark }) => mark.number === this.chosen)) {
      this.stroke([one], one.mark.group === 'rejected' ? 'chosen rejected' : 'chosen', camera);
    }
  }

  stroke(those, look, camera) {
    if (!those.length) return;
    const cells = new Map();
    for (const { outline, box } of those) {
      const [x, y] = toView(camera, box);
      const key = `${Math.floor(x / CELL_PX)} ${Math.floor(y / CELL_PX)}`;
      cells.set(key, (cells.get(key) ?? '') + lineRound(outline, box, camera));
    }
    const paths = (kind) => [...cells.values()].map((d) => svg('path', { d, class: `${kind} ${look}` }));
    this.lines.ground.append(...paths('halo'), ...paths('line'));
  }

  // Numbers beside their marks; where two would cover one another, the less weighty is left out until one goes nearer.
  drawNumbers(camera, view) {
    this.areNumbersDue = false;
    this.numbers.camera = camera;
    this.numbers.ground.replaceChildren();
    if (!this.shown.numbers) return;
    const signs = [];
    const taken = [];
    const put = (sign, [x, y]) => {
      taken.push([x, y]);
      sign.setAttribute('transform', `translate(${x.toFixed(1)} ${y.toFixed(1)})`);
      signs.push(sign);
    };
    if (this.shown.unseen) {
      for (const { letter, polygons } of this.photo.unseen) {
        if (polygons.length) put(letterSign(letter), toView(camera, upperRight(polygons[0])));
      }
    }
    for (const { mark, box } of this.shown.marks ? this.byWeight() : []) {
      if (!isNearView(box, camera, view)) continue;
      const spots = spotsRound(box, camera);
      const spot = spots.find((one) => taken.every((other) => apart(one, other)));
      if (!spot && mark.number !== this.chosen) continue;
      const sign = markSign(mark.kind, mark.number, mark.group, mark.status);
      if (mark.number === this.chosen) sign.classList.add('chosen');
      put(sign, spot ?? spots[0]);
    }
    this.numbers.ground.append(...signs);
  }

  byWeight() {
    const group = { found: 0, rejected: 1000, possible: 2000, doubtful: 3000 };
    const weight = ({ mark }) => (mark.number === this.chosen ? -1 : group[mark.group] + mark.number);
    return [...this.marks].sort((a, b) => weight(a) - weight(b));
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

// Move a sheet from where it was drawn to where the photo is; return how much larger it is now.
function moved({ element, camera: was }, camera) {
  if (!was) return 1;
  const ratio = camera.scale / was.scale;
  const [dx, dy] = [camera.left - was.left * ratio, camera.top - was.top * ratio];
  element.style.transform = `matrix(${ratio}, 0, 0, ${ratio}, ${dx}, ${dy})`;
  return ratio;
}

function isNearView([x0, y0, x1, y1], camera, view) {
  const [left, top] = toView(camera, [x0, y0]);
  const [right, bottom] = toView(camera, [x1, y1]);
  return right > -REACH_PX && bottom > -REACH_PX && left < view.width + REACH_PX && top < view.height + REACH_PX;
}

// A closed line through points of the photo, in the view.
function loop(points, camera) {
  let d = '';
  let last = null;
  for (const point of points) {
    const [x, y] = toView(camera, point);
    if (last && Math.abs(x - last[0]) + Math.abs(y - last[1]) < CLOSE_POINTS_PX) continue;
    d += `${last ? 'L' : 'M'}${x.toFixed(1)} ${y.toFixed(1)}`;
    last = [x, y];
  }
  return `${d}Z`;
}

// The outline itself, or a ring where that would be too small to see.
function lineRound(outline, [x0, y0, x1, y1], camera) {
  if ((Math.max(x1 - x0, y1 - y0) / 2) * camera.scale >= LEAST_RING_PX) return loop(outline, camera);
  const [x, y] = toView(camera, [(x0 + x1) / 2, (y0 + y1) / 2]);
  const r = LEAST_RING_PX;
  return `M${(x - r).toFixed(1)} ${y.toFixed(1)}a${r} ${r} 0 1 1 ${2 * r} 0a${r} ${r} 0 1 1 ${-2 * r} 0Z`;
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
