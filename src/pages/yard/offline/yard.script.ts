/**
 * What the pages of the yard ask of a browser beside HTML, served as it stands: keeps pages for where there is no
 * signal, says what waits to be sent, and lists it at /yard/waiting. Without it everything works while there is signal.
 */
export const YARD_SCRIPT = `'use strict';
(() => {
  const element = (name, words, more = {}) => Object.assign(document.createElement(name), { textContent: words }, more);
  // One tap enters once: a second one while the first is under way does nothing.
  addEventListener('submit', (event) => {
    const form = event.target;
    if (form.dataset.entry === undefined) return;
    if (form.dataset.sent === 'yes') event.preventDefault();
    form.dataset.sent = 'yes';
    // If it has to wait on this phone, these words tell it there.
    const told = form.elements.told ?? form.appendChild(element('input', '', { type: 'hidden', name: 'told' }));
    told.value = [form.dataset.entry, ...wordsOf(form)].join('\\n').slice(0, 2000);
  });
  const wordsOf = (form) =>
    [...form.querySelectorAll('label')].flatMap(({ control, firstChild, className }) => {
      if (control === null || className === 'unit' || (control.type === 'checkbox' && !control.checked)) return [];
      const own = control.selectedOptions?.[0]?.textContent ?? control.value;
      const unit = document.getElementById(control.id + '-unit')?.selectedOptions[0].textContent ?? '';
      const name = (control.type === 'checkbox' ? control.parentElement.textContent : firstChild.textContent).trim();
      if (control.type === 'checkbox') return [name];
      return control.value === '' ? [] : [(name + ': ' + own + ' ' + unit).trim()];
    });
  addEventListener('pageshow', () => {
    for (const form of document.querySelectorAll('form[data-sent]')) delete form.dataset.sent;
  });

  if (navigator.serviceWorker === undefined) return;
  const signal = document.getElementById('signal');
  const list = document.getElementById('waiting');
  const ask = async (message) => (await navigator.serviceWorker.ready).active.postMessage(message);

  const told = ({ waiting, refused }) => {
    if (list !== null) void show();
    else if (waiting > 0 && signal !== null) {
      signal.textContent = '';
      const link = document.createElement('a');
      link.href = '/yard/waiting';
      link.textContent =
        waiting + (waiting === 1 ? ' entry' : ' entries') + ' on this phone ' +
        (refused > 0 ? 'to be looked at' : 'still to be sent');
      signal.append(link);
      signal.hidden = false;
    }
  };

  const button = (words, press, quiet = true) => {
    const made = element('button', words, { type: 'button', onclick: press });
    if (quiet) made.className = 'quiet';
    return made;
  };
  const STATES = { waiting: 'Waits to be sent', refused: 'Refused', unsure: 'May have arrived' };
  /** A sheet that was fed as shown has no field to see: what it showed goes along. */
  const shownOf = (fields) =>
    fields.has('note') ? [] : [...fields].filter(([name]) => name.startsWith('was/')).map(([, words]) => words);

  // The queue, in the order in which it is sent.
  const show = async () => {
    const database = await idb.openDB('rickyard-yard');
    const entries = database.objectStoreNames.contains('entries') ? await database.getAll('entries') : [];
    database.close();
    list.replaceChildren(...entries.map(item));
    document.getElementById('none').hidden = entries.length > 0;
  };
  const item = (entry) => {
    const fields = new URLSearchParams(entry.text);
    const what = new URL(entry.action).pathname.split('/').at(-1).replaceAll('-', ' ');
    const [title, ...said] = (fields.get('told') ?? what).split(/\\r?\\n/);
    const made = document.createElement('li');
    made.className = entry.state;
    made.append(
      element('h2', title),
      element('p', STATES[entry.state] + '. Typed ' + new Date(entry.typedAt).toLocaleString() + '.'),
      element('p', [...said, ...shownOf(fields)].join('; ')),
      element('p', entry.told, { className: 'wrong' }),
      buttons(entry, fields),
    );
    return made;
  };
  const buttons = (entry, fields) => {
    const row = element('div', '', { className: 'send' });
    if (entry.state !== 'waiting') row.append(button('Mend it', () => mend(entry, fields), false));
    row.append(button(entry.state === 'waiting' ? 'Send now' : 'Send it again', () => ask({ again: entry.order })));
    row.append(
      button('Drop it', (event) => {
        if (event.target.dataset.sure === 'yes') return void ask({ drop: entry.order });
        event.target.dataset.sure = 'yes';
        event.target.textContent = 'Yes, drop it for good';
      }),
    );
    return row;
  };
  // As it was typed, once more: the server answers with the form, each finding at its field.
  const mend = (entry, fields) => {
    const form = element('form', '', { method: 'post', action: entry.action.split('?')[0] });
    for (const [name, value] of fields) form.append(element('input', '', { type: 'hidden', name, value }));
    document.body.append(form);
    form.submit();
  };

  navigator.serviceWorker.addEventListener('message', ({ data }) => told(data));
  addEventListener('online', () => void ask({ send: true }));
  const begin = async () => {
    await navigator.serviceWorker.register('/yard/worker.js', { scope: '/yard' });
    if (list !== null) await show();
    await ask({ send: true });
    if (document.querySelector('ul.tasks') === null) return;
    const links = document.querySelectorAll('nav.links a, ul.tasks a, .herd a');
    await ask({ keep: [location.href, ...[...links].map((link) => link.href)] });
  };
  void begin();
})();
`;
