// The photo on a canvas: first the picture that fits a screen, then tiles with the photo's own pixels.

const MOST_TILES = 120; // some 120 MB
const MOST_ASKED = 4; // at once: the server has two cores, and those that are seen come first
// From so many screen px a photo px on, pixels are shown as squares instead of being blended.
const SQUARE_FROM = 2;

export class Picture {
  constructor(canvas, tile, onNews) {
    this.canvas = canvas;
    this.context = canvas.getContext('2d', { alpha: false });
    this.tile = tile;
    this.onNews = onNews;
    this.tiles = new Map();
    this.asked = 0;
    this.wanted = [];
    this.photo = null;
    this.whole = null;
  }

  async show(photo) {
    this.photo = photo;
    this.whole = null;
    for (const one of this.tiles.values()) one.bitmap?.close();
    this.tiles.clear();
    this.wanted = [];
    const whole = await bitmapOf(`${photo.address}/fit.jpg`);
    if (this.photo !== photo) return true;
    this.whole = whole;
    this.onNews();
    return whole !== null;
  }

  // Draw what is at hand, and ask for what is missing.
  draw(camera, view) {
    const { context, photo, whole } = this;
    const fine = window.devicePixelRatio || 1;
    this.resize(view, fine);
    context.imageSmoothingEnabled = camera.scale * fine < SQUARE_FROM;
    context.fillStyle = '#20272a';
    context.fillRect(0, 0, this.canvas.width, this.canvas.height);
    if (!photo) return;
    const level = this.levelFor(camera.scale * fine);
    const seen = level === null ? [] : this.seenTiles(level, camera, view);
    if (whole && (level === null || seen.some((one) => !one.bitmap))) {
      this.paint(whole, [0, 0, photo.width, photo.height], camera, view, fine);
    }
    for (const one of seen) if (one.bitmap) this.paint(one.bitmap, one.box, camera, view, fine);
    this.ask(seen.filter((one) => !one.bitmap && !one.isAsked));
  }

  resize(view, fine) {
    const [width, height] = [Math.round(view.width * fine), Math.round(view.height * fine)];
    if (this.canvas.width !== width || this.canvas.height !== height) {
      this.canvas.width = width;
      this.canvas.height = height;
    }
  }

  // The coarsest level that is fine enough, or null where the whole picture is.
  levelFor(scale) {
    if (!this.whole || scale <= (1.05 * this.whole.width) / this.photo.width) return null;
    return Math.max(0, Math.floor(-Math.log2(Math.min(scale, 1)) + 0.05));
  }

  // Tiles of a level that the view shows, those in its middle first.
  seenTiles(level, camera, view) {
    const { photo, tile } = this;
    const step = tile * 2 ** level;
    const range = (at, room, length) => [
      Math.max(Math.floor(-at / camera.scale / step), 0),
      Math.min(Math.floor((room - at) / camera.scale / step), Math.ceil(length / step) - 1),
    ];
    const [c0, c1] = range(camera.left, view.width, photo.width);
    const [r0, r1] = range(camera.top, view.height, photo.height);
    const found = [];
    for (let row = r0; row <= r1; row += 1) {
      for (let column = c0; column <= c1; column += 1) found.push(this.tileAt(level, column, row, step));
    }
    const [x, y] = [(view.width / 2 - camera.left) / camera.scale, (view.height / 2 - camera.top) / camera.scale];
    const away = ({ box }) => Math.hypot((box[0] + box[2]) / 2 - x, (box[1] + box[3]) / 2 - y);
    return found.sort((a, b) => away(a) - away(b));
  }

  tileAt(level, column, row, step) {
    const key = `${level}/${column}/${row}`;
    let one = this.tiles.get(key);
    if (one) {
      this.tiles.delete(key); // to the end: the one used last
    } else {
      const { width, height } = this.photo;
      const box = [column * step, row * step, Math.min((column + 1) * step, width), Math.min((row + 1) * step, height)];
      one = { key, box, bitmap: null, isAsked: false };
    }
    this.tiles.set(key, one);
    return one;
  }

  // Paint a picture of a box of the photo; only the part that is seen is touched.
  paint(bitmap, [x0, y0, x1, y1], camera, view, fine) {
    const [perX, perY] = [bitmap.width / (x1 - x0), bitmap.height / (y1 - y0)];
    const part = (low, high, at, room, per) => {
      const first = Math.max(Math.floor((-at / camera.scale - low) * per), 0);
      const last = Math.min(Math.ceil(((room - at) / camera.scale - low) * per), Math.round((high - low) * per));
      return [first, last];
    };
    const [u0, u1] = part(x0, x1, camera.left, view.width, perX);
    const [v0, v1] = part(y0, y1, camera.top, view.height, perY);
    if (u1 <= u0 || v1 <= v0) return;
    // Rounded to screen px, so that no seam shows between tiles.
    const onX = (u) => Math.round(((x0 + u / perX) * camera.scale + camera.left) * fine);
    const onY = (v) => Math.round(((y0 + v / perY) * camera.scale + camera.top) * fine);
    const [left, top] = [onX(u0), onY(v0)];
    this.context.drawImage(bitmap, u0, v0, u1 - u0, v1 - v0, left, top, onX(u1) - left, onY(v1) - top);
  }

  ask(missing) {
    this.wanted = missing;
    while (this.asked < MOST_ASKED && this.wanted.length) this.fetch(this.wanted.shift());
  }

  async fetch(one) {
    const photo = this.photo;
    one.isAsked = true;
    this.asked += 1;
    const bitmap = await bitmapOf(`${photo.address}/${one.key}.png`);
    this.asked -= 1;
    if (this.photo !== photo) {
      bitmap?.close();
      return;
    }
    one.bitmap = bitmap;
    this.forget();
    this.onNews();
  }

  // Let go of the tiles that were not seen for longest.
  forget() {
    for (const [key, one] of this.tiles) {
      if (this.tiles.size <= MOST_TILES) return;
      if (one.isAsked && !one.bitmap) continue;
      one.bitmap?.close();
      this.tiles.delete(key);
    }
  }
}

// Decoded aside, so that it holds no frame up; null where it does not come.
async function bitmapOf(address) {
  try {
    const answer = await fetch(address);
    return answer.ok ? await createImageBitmap(await answer.blob()) : null;
  } catch {
    return null;
  }
}
