// Where the photo lies in the view, in pure functions.
//
// Places in the photo are those of the record: px from the centre of the top-left pixel, y down. A camera is
// {scale, left, top}: CSS px a photo px, and where the photo's corner lies in the view.

export const MOST_SCALE = 40;

export function toView(camera, [x, y]) {
  return [(x + 0.5) * camera.scale + camera.left, (y + 0.5) * camera.scale + camera.top];
}

export function toPhoto(camera, [x, y]) {
  return [(x - camera.left) / camera.scale - 0.5, (y - camera.top) / camera.scale - 0.5];
}

export function movedBy(camera, dx, dy) {
  return { ...camera, left: camera.left + dx, top: camera.top + dy };
}

// The same photo place stays under `at`.
export function scaledAt(camera, scale, [x, y]) {
  const ratio = scale / camera.scale;
  return { scale, left: x - (x - camera.left) * ratio, top: y - (y - camera.top) * ratio };
}

// The photo can be moved until its edge is in the middle of the view, so that each pixel can be brought there.
export function kept(camera, photo, view) {
  const scale = Math.min(Math.max(camera.scale, leastScale(photo, view)), MOST_SCALE);
  const held = scale === camera.scale ? camera : scaledAt(camera, scale, [view.width / 2, view.height / 2]);
  const inside = (at, room, length) => Math.min(Math.max(at, room / 2 - length * scale), room / 2);
  return {
    scale,
    left: inside(held.left, view.width, photo.width),
    top: inside(held.top, view.height, photo.height),
  };
}

export function leastScale(photo, view) {
  return 0.8 * Math.min(view.width / photo.width, view.height / photo.height, 1);
}

// A box [x0, y0, x1, y1] of the photo in the middle of the view, with some room round it.
export function fitted([x0, y0, x1, y1], view, room, mostScale = MOST_SCALE) {
  const fits = Math.min(view.width / (x1 - x0 + 1), view.height / (y1 - y0 + 1));
  const scale = Math.min(fits / (1 + room), mostScale);
  return placed([(x0 + x1) / 2, (y0 + y1) / 2], [view.width / 2, view.height / 2], scale);
}

// A place of the photo at a place of the view.
export function placed([x, y], [viewX, viewY], scale) {
  return { scale, left: viewX - (x + 0.5) * scale, top: viewY - (y + 0.5) * scale };
}

export function boxOf(points) {
  let [x0, y0, x1, y1] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const [x, y] of points) {
    x0 = Math.min(x0, x);
    y0 = Math.min(y0, y);
    x1 = Math.max(x1, x);
    y1 = Math.max(y1, y);
  }
  return [x0, y0, x1, y1];
}
