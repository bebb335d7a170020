// Takes the code from behind the "#" of the address, takes it out of the address bar, and gives it.
const form = document.getElementById('pair');

function give() {
  const code = location.hash.slice(1);
  // Anything else is a place on this page, such as its content.
  if (!/^[2-9A-Z]{6}$/.test(code)) return;
  history.replaceState(null, '', location.pathname);
  if (!form) return;
  form.elements.code.value = code;
  form.requestSubmit();
}

addEventListener('hashchange', give);
give();
