(function () {
  var view = document.getElementById('viewer'), earlier = document.getElementById('earlier');
  var share = document.getElementById('share'), zoom = document.getElementById('zoom');
  var stack = document.getElementById('stack'), marks = document.getElementById('marks');
  var lines = document.getElementById('lines'), told = document.getElementById('told');
  var buttons = { earlier: document.getElementById('b-earlier'), later: document.getElementById('b-later'),
                  blink: document.getElementById('b-blink') };
  var timer = null, on = true;
  function show(percent) {
    earlier.style.clipPath = 'inset(0 ' + (100 - percent) + '% 0 0)';
    share.value = percent;
    told.textContent = percent >= 100 ? 'Earlier photo' : percent <= 0 ? 'Later photo'
      : 'Left of the edge the earlier photo, right of it the later one';
  }
  function press(name) {
    Object.keys(buttons).forEach(function (one) { buttons[one].setAttribute('aria-pressed', String(one === name)); });
    if (timer) { clearInterval(timer); timer = null; }
    told.setAttribute('aria-live', name === 'blink' ? 'off' : 'polite');
  }
  share.addEventListener('input', function () { press(''); show(Number(share.value)); });
  buttons.earlier.addEventListener('click', function () { press('earlier'); show(100); });
  buttons.later.addEventListener('click', function () { press('later'); show(0); });
  buttons.blink.addEventListener('click', function () {
    if (timer) { press(''); return; }
    press('blink');
    timer = setInterval(function () { on = !on; show(on ? 100 : 0); }, 800);
  });
  zoom.addEventListener('input', function () {
    var pane = stack.parentNode;
    var x = (pane.scrollLeft + pane.clientWidth / 2) / stack.offsetWidth;
    var y = (pane.scrollTop + pane.clientHeight / 2) / stack.offsetHeight;
    stack.style.width = (100 * Number(zoom.value)) + '%';
    pane.scrollLeft = x * stack.offsetWidth - pane.clientWidth / 2;
    pane.scrollTop = y * stack.offsetHeight - pane.clientHeight / 2;
  });
  marks.addEventListener('change', function () { lines.classList.toggle('off', !marks.checked); });
  view.classList.add('live');
  show(50);
})();
