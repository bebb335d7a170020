// The signs of marks: each kind has a shape of its own, and each mark its number; colour only helps.

const SVG = 'http://www.w3.org/2000/svg';

// Shapes about (0, 0), some 11 px to each side.
const SHAPES = {
  scratch: 'M-14-8H14V8H-14Z',
  chip: 'M0-15 15 10H-15Z',
  bubble: 'M-11 0A11 11 0 1 1 11 0A11 11 0 1 1 -11 0Z',
  bruise: 'M0-15 15 0 0 15-15 0Z',
  dust: 'M0-13 12.4-4 7.6 10.5-7.6 10.5-12.4-4Z',
};
const LETTER_SHAPE = 'M-5-11H5L11-5V5L5 11H-5L-11 5V-5Z';

export function svg(name, attributes = {}, ...children) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  element.append(...children);
  return element;
}

// A mark's sign with its number; `group` tells how sure it is.
export function markSign(kind, number, group, status = '') {
  const text = String(number);
  const small = text.length > 2 ? ' long' : '';
  const sign = svg('g', { class: `sign ${kind} ${group}` }, svg('path', { d: SHAPES[kind], class: 'body' }));
  const words = svg('text', { y: kind === 'chip' ? 6.5 : 4.2, class: `number${small}` });
  words.textContent = text;
  sign.append(words);
  if (status === 'confirmed' || status === 'added') sign.append(svg('path', { d: 'M6-13l4 4 7-8', class: 'tick' }));
  if (group === 'rejected') sign.append(svg('path', { d: 'M-13 12 13-12', class: 'strike' }));
  return sign;
}

export function letterSign(letter) {
  const words = svg('text', { y: 4.2, class: 'number' });
  words.textContent = letter;
  return svg('g', { class: 'sign letter' }, svg('path', { d: LETTER_SHAPE, class: 'body' }), words);
}

// A sign by itself, to stand in a list.
export function signPicture(sign) {
  return svg('svg', { viewBox: '-18 -18 36 36', class: 'sign-picture', 'aria-hidden': 'true', focusable: 'false' }, sign);
}
