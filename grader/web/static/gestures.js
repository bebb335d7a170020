// Mouse, pen and touch over the view: what is meant by them, told in calls.
//
// wishes: {move(dx, dy), scale(ratio, at), tap(at, kind), grab(at, kind) -> bool, drag(at), drop(), hover(at), isWhole()}

const TAP_PX = 6;
const TAP_MS = 600;

export function listen(element, wishes) {
  const held = new Map();
  let start = null;
  let isDragging = false;

  const at = (event) => {
    const box = element.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  };
  const spread = () => {
    const [[ax, ay], [bx, by]] = [...held.values()];
    return { middle: [(ax + bx) / 2, (ay + by) / 2], apart: Math.max(Math.hypot(ax - bx, ay - by), 1) };
  };

  element.addEventListener('pointerdown', (event) => {
    if (event.pointerType === 'mouse' && event.button !== 0) return;
    element.setPointerCapture(event.pointerId);
    held.set(event.pointerId, at(event));
    start = held.size === 1 ? { at: at(event), time: event.timeStamp, far: false } : null;
    isDragging = held.size === 1 && wishes.grab(at(event), event.pointerType);
  });

  element.addEventListener('pointermove', (event) => {
    const now = at(event);
    const before = held.get(event.pointerId);
    if (!before) {
      if (event.pointerType === 'mouse') wishes.hover(now);
      return;
    }
    if (start && Math.hypot(now[0] - start.at[0], now[1] - start.at[1]) > TAP_PX) start.far = true;
    if (held.size === 1) {
      held.set(event.pointerId, now);
      if (isDragging) wishes.drag(now);
      else if (!start || start.far) wishes.move(now[0] - before[0], now[1] - before[1]);
    } else if (held.size === 2) {
      const was = spread();
      held.set(event.pointerId, now);
      const is = spread();
      wishes.move(is.middle[0] - was.middle[0], is.middle[1] - was.middle[1]);
      wishes.scale(is.apart / was.apart, is.middle);
    }
  });

  const up = (event) => {
    if (!held.delete(event.pointerId)) return;
    if (isDragging) wishes.drop();
    else if (event.type === 'pointerup' && start && !start.far && event.timeStamp - start.time < TAP_MS) {
      wishes.tap(at(event), event.pointerType);
    }
    isDragging = false;
    start = null;
  };
  element.addEventListener('pointerup', up);
  element.addEventListener('pointercancel', up);
  element.addEventListener('dblclick', (event) => wishes.twice(at(event)));

  element.addEventListener(
    'wheel',
    (event) => {
      // Where it cannot get any smaller, the wheel moves the page.
      if (event.deltaY > 0 && wishes.isWhole()) return;
      event.preventDefault();
      const unit = event.deltaMode === 1 ? 30 : event.deltaMode === 2 ? 300 : 1;
      const turned = Math.max(Math.min(event.deltaY * unit, 300), -300);
      wishes.scale(Math.exp(-turned * (event.ctrlKey ? 0.008 : 0.0022)), at(event));
    },
    { passive: false },
  );
}
