(function () {
  var view = document.getElementById('viewer');
  if (!view) { return; }
  var earlier = document.getElementById('earlier'), share = document.getElementById('share');
  var pane = document.getElementById('window'), stack = document.getElementById('stack');
  var edge = document.getElementById('edge'), told = document.getElementById('told');
  var marks = document.getElementById('marks'), lines = document.getElementById('lines');
  var buttons = { earlier: document.getElementById('b-earlier'), later: document.getElementById('b-later') };
  var blink = document.getElementById('b-blink');
  var still = window.matchMedia('(prefers-reduced-motion: reduce)');
  var MOST = 6, STEP = 1.5, BLINK_MS = 900, NUMBER_PX = 15, HOURS_FROM_PX = 560;
  var percent = 50, zoom = 1, timer = null;

  // Numbers stay as large on the screen as other small text, however large the picture is.
  function size() {
    var units = Number(lines.viewBox.baseVal.width) / stack.offsetWidth;
    lines.style.fontSize = (NUMBER_PX * units) + 'px';
    lines.classList.toggle('cmp-small', stack.offsetWidth < HOURS_FROM_PX);
  }
  // The edge stands in the part that is seen, so that the slider always sweeps all of that.
  function draw() {
    var x = pane.scrollLeft + percent / 100 * pane.clientWidth;
    var out = Math.max(stack.offsetWidth - x, 0);
    earlier.style.clipPath = percent >= 100 ? 'none' : percent <= 0 ? 'inset(0 100% 0 0)' : 'inset(0 ' + out + 'px 0 0)';
    edge.style.left = 'calc((100% - ' + (pane.offsetWidth - pane.clientWidth) + 'px) * ' + percent / 100 + ')';
    edge.classList.toggle('cmp-away', percent <= 0 || percent >= 100);
  }
  function words() {
    return percent >= 100 ? 'Earlier photo' : percent <= 0 ? 'Later photo'
      : 'Left of the edge the earlier photo, right of it the later one';
  }
  function show(to) {
    percent = Math.min(Math.max(to, 0), 100);
    share.value = percent;
    share.setAttribute('aria-valuetext', Math.round(percent) + ' percent. ' + words());
    if (told.textContent !== words()) { told.textContent = words(); }
    buttons.earlier.setAttribute('aria-pressed', String(percent >= 100));
    buttons.later.setAttribute('aria-pressed', String(percent <= 0));
    draw();
  }
  function stop() {
    if (timer) { clearInterval(timer); timer = null; }
    told.setAttribute('aria-live', 'polite');
    blink.textContent = still.matches ? 'Switch' : 'Blink';
  }
  function swap() { show(percent >= 50 ? 0 : 100); }
  // Where motion is not wanted nothing moves by itself: each press switches once.
  function press() {
    if (still.matches) { stop(); swap(); return; }
    if (timer) { stop(); return; }
    told.setAttribute('aria-live', 'off');
    blink.textContent = 'Pause';
    swap();
    timer = setInterval(swap, BLINK_MS);
  }
  // Enlarges about a point of the pane, which stays where it is.
  function enlarge(to, px, py) {
    var x = px === undefined ? pane.clientWidth / 2 : px, y = py === undefined ? pane.clientHeight / 2 : py;
    var u = (pane.scrollLeft + x) / stack.offsetWidth, v = (pane.scrollTop + y) / stack.offsetHeight;
    zoom = Math.min(Math.max(to, 1), MOST);
    stack.style.width = (100 * zoom) + '%';
    pane.classList.toggle('enlarged', zoom > 1);
    size();
    pane.scrollLeft = u * stack.offsetWidth - x;
    pane.scrollTop = v * stack.offsetHeight - y;
    draw();
  }
  function inPane(event) {
    var box = pane.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  }

  share.addEventListener('input', function () { stop(); show(Number(share.value)); });
  buttons.earlier.addEventListener('click', function () { stop(); show(100); });
  buttons.later.addEventListener('click', function () { stop(); show(0); });
  blink.addEventListener('click', press);
  still.addEventListener('change', stop);
  document.addEventListener('visibilitychange', function () { if (document.hidden) { stop(); } });
  marks.addEventListener('change', function () { lines.classList.toggle('off', !marks.checked); });
  document.getElementById('b-in').addEventListener('click', function () { enlarge(zoom * STEP); });
  document.getElementById('b-out').addEventListener('click', function () { enlarge(zoom / STEP); });
  document.getElementById('b-whole').addEventListener('click', function () { enlarge(1); });
  pane.addEventListener('scroll', draw);
  window.addEventListener('resize', function () { size(); draw(); });
  pane.addEventListener('keydown', function (event) {
    if (event.ctrlKey || event.metaKey || event.altKey) { return; }
    if (event.key === '+' || event.key === '=') { enlarge(zoom * STEP); }
    else if (event.key === '-') { enlarge(zoom / STEP); }
    else if (event.key === '0') { enlarge(1); }
    else { return; }
    event.preventDefault();
  });

  // The edge is pulled by mouse, pen or finger.
  edge.addEventListener('pointerdown', function (event) {
    stop();
    edge.setPointerCapture(event.pointerId);
    event.preventDefault();
  });
  edge.addEventListener('pointermove', function (event) {
    if (!edge.hasPointerCapture(event.pointerId)) { return; }
    // It stays in sight while it is pulled, lest it could not be taken hold of again.
    show(Math.min(Math.max(100 * inPane(event)[0] / pane.clientWidth, 1), 99));
  });

  // A mouse pulls the enlarged picture; fingers scroll it as any page.
  var pulled = null;
  pane.addEventListener('pointerdown', function (event) {
    if (event.pointerType !== 'mouse' || event.button !== 0 || zoom <= 1) { return; }
    pulled = [event.clientX, event.clientY, pane.scrollLeft, pane.scrollTop];
    pane.setPointerCapture(event.pointerId);
  });
  pane.addEventListener('pointermove', function (event) {
    if (!pulled || !pane.hasPointerCapture(event.pointerId)) { return; }
    pane.scrollLeft = pulled[2] + pulled[0] - event.clientX;
    pane.scrollTop = pulled[3] + pulled[1] - event.clientY;
  });
  pane.addEventListener('pointerup', function () { pulled = null; });
  pane.addEventListener('pointercancel', function () { pulled = null; });
  pane.addEventListener('dblclick', function (event) {
    var at = inPane(event);
    enlarge(zoom > 1 ? 1 : 2.5, at[0], at[1]);
  });
  pane.addEventListener('wheel', function (event) {
    if (!event.ctrlKey) { return; }
    event.preventDefault();
    var at = inPane(event);
    enlarge(zoom * Math.exp(-event.deltaY / 200), at[0], at[1]);
  }, { passive: false });

  // Two fingers enlarge.
  var apart = 0, before = 1;
  function spread(event) {
    var a = event.touches[0], b = event.touches[1];
    return Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY);
  }
  pane.addEventListener('touchstart', function (event) {
    if (event.touches.length === 2) { apart = spread(event); before = zoom; event.preventDefault(); }
  }, { passive: false });
  pane.addEventListener('touchmove', function (event) {
    if (event.touches.length !== 2 || !apart) { return; }
    event.preventDefault();
    var a = inPane(event.touches[0]), b = inPane(event.touches[1]);
    enlarge(before * spread(event) / apart, (a[0] + b[0]) / 2, (a[1] + b[1]) / 2);
  }, { passive: false });
  pane.addEventListener('touchend', function (event) { if (event.touches.length < 2) { apart = 0; } });

  view.classList.add('cmp-live');
  size();
  stop();
  show(50);
})();
