// Rival: the photo as img elements in a box that CSS moves and scales, instead of a canvas.

const SQUARE_FROM = 2;

export class Picture {
  constructor(canvas, tile, onNews) {
    Object.assign(this, { tile, onNews, photo: null, tiles: new Map() });
    this.world = document.createElement('div');
    this.world.className = 'world';
    canvas.replaceWith(this.world);
  }

  async show(photo) {
    this.photo = photo;
    this.tiles.clear();
    this.whole = this.image(`${photo.address}/fit.jpg`, [0, 0, photo.width, photo.height]);
    this.world.replaceChildren(this.whole);
    await this.whole.decode();
    this.onNews();
    return true;
  }

  image(source, [x0, y0, x1, y1]) {
    const image = document.createElement('img');
    Object.assign(image.style, { left: `${x0}px`, top: `${y0}px`, width: `${x1 - x0}px`, height: `${y1 - y0}px` });
    image.decoding = 'async';
    image.src = source;
    return image;
  }

  draw(camera, view) {
    const { photo, world } = this;
    if (!photo) return;
    world.style.transform = `matrix(${camera.scale}, 0, 0, ${camera.scale}, ${camera.left}, ${camera.top})`;
    world.classList.toggle('square', camera.scale >= SQUARE_FROM);
    if (camera.scale <= (1.05 * this.whole.naturalWidth) / photo.width) return;
    const level = Math.max(0, Math.floor(-Math.log2(Math.min(camera.scale, 1)) + 0.05));
    const step = this.tile * 2 ** level;
    const range = (at, room, length) => [
      Math.max(Math.floor(-at / camera.scale / step), 0),
      Math.min(Math.floor((room - at) / camera.scale / step), Math.ceil(length / step) - 1),
    ];
    const [c0, c1] = range(camera.left, view.width, photo.width);
    const [r0, r1] = range(camera.top, view.height, photo.height);
    for (let row = r0; row <= r1; row += 1) {
      for (let column = c0; column <= c1; column += 1) {
        const key = `${level}/${column}/${row}`;
        if (this.tiles.has(key)) continue;
        const box = [column * step, row * step, Math.min((column + 1) * step, photo.width), Math.min((row + 1) * step, photo.height)];
        this.tiles.set(key, this.image(`${photo.address}/${key}.png`, box));
        world.append(this.tiles.get(key));
      }
    }
  }
}
