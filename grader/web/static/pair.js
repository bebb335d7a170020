// Takes the code from behind the "#" of the address, takes it out of the address bar, and gives it.
const form = document.getElementById('pair');

function give() {
  const code = location.hash.slice(1);
  if (!code) return;
  history.replaceState(null, '', location.pathname);
  if (!form || !/^[0-9A-Za-z]{1,12}$/.test(code)) return;
  form.elements.code.value = code;
  form.requestSubmit();
}

addEventListener('hashchange', give);
give();
