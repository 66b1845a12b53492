/**
 * What a phone keeps of the yard, served as it stands: a service worker (W3C Service Workers) of the scope /yard. Pages
 * come from the server where there is signal, else as they were kept; a form that cannot be sent is put in a queue
 * (IndexedDB) and sent in order as soon as the server answers, each under the key it was typed with, so that the server
 * does it once. What is refused stays, with the words of the refusal, until somebody mends or drops it.
 */
export const YARD_WORKER = `'use strict';
importScripts('/yard/idb.js');

const KEPT = 'yard-pages-1';
const SHELL = ['/yard/waiting', '/yard/yard.js', '/yard/idb.js', '/yard/manifest.webmanifest', '/yard/icon.svg'];
const DAY = 86400000;
/** Pages are kept for the last days, and not more of them than a phone has room for. */
const KEPT_MOST_MS = 4 * DAY;
const KEPT_MOST = 80;
/** Waits so long for a page of which there is a kept one, and for an answer to what was entered. */
const PAGE_MOST_MS = 6000;
const ENTRY_MOST_MS = 20000;
/** The server knows a key for 48 hours: what was tried longer ago may be in the books, and a person has to look. */
const SURE_MS = 40 * 3600000;

const open = () =>
  idb.openDB('rickyard-yard', 1, {
    upgrade: (database) => {
      const entries = database.createObjectStore('entries', { keyPath: 'order', autoIncrement: true });
      entries.createIndex('once', 'once', { unique: true });
    },
  });
let database;
const entries = async () => (database ??= await open());
const all = async () => (await entries()).getAll('entries');
const put = async (entry) => (await entries()).put('entries', entry);
const drop = async (order) => (await entries()).delete('entries', order);
const byOnce = async (once) => (await entries()).getFromIndex('entries', 'once', once);

addEventListener('install', (event) => {
  event.waitUntil(caches.open(KEPT).then((cache) => cache.addAll(SHELL)).then(() => skipWaiting()));
});
addEventListener('activate', (event) => {
  const old = async () => {
    for (const name of await caches.keys()) if (name !== KEPT) await caches.delete(name);
    await clients.claim();
  };
  event.waitUntil(old());
});

addEventListener('fetch', (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (url.origin !== location.origin) return;
  if (request.mode === 'navigate' && request.method === 'POST') {
    if (url.pathname === '/yard/sign-out') event.respondWith(signOut(request));
    else if (url.pathname.startsWith('/yard/operations/')) event.respondWith(enter(request));
  } else if (request.mode === 'navigate' && request.method === 'GET') {
    if (url.pathname === '/yard' || url.pathname === '/yard/waiting' || url.pathname.startsWith('/yard/operations/'))
      event.respondWith(page(request));
  } else if (SHELL.includes(url.pathname)) event.respondWith(fetch(request).catch(() => caches.match(url.pathname)));
});
addEventListener('message', (event) => {
  if (event.data.send) event.waitUntil(sendAll());
  if (event.data.keep) event.waitUntil(keepPages(event.data.keep));
  if (event.data.again) event.waitUntil(again(event.data.again));
  if (event.data.drop) event.waitUntil(drop(event.data.drop).then(tell));
});
addEventListener('sync', (event) => {
  if (event.tag === 'entries') event.waitUntil(sendAll());
});

// ───────── pages ─────────
async function page(request) {
  const isShell = SHELL.includes(new URL(request.url).pathname);
  // The list of what waits is one page, whatever led there.
  const kept = await caches.match(request.url, { ignoreSearch: isShell });
  const late = kept === undefined ? [] : [after(PAGE_MOST_MS)];
  try {
    const answer = await Promise.race([fetch(request), ...late]);
    if (answer.status === 403 || answer.status === 404) await forgetPage(request.url);
    else if (answer.status >= 500 && kept !== undefined) return offline(kept);
    else if (!isShell) await keepPage(request.url, answer.clone());
    return answer;
  } catch (error) {
    if (kept !== undefined) return offline(kept);
    return Response.redirect('/yard/waiting?page=not-kept', 303);
  }
}

/** The page as it was kept, saying so, with new keys in its forms: each is an entry of its own. */
async function offline(kept) {
  const at = Number(kept.headers.get('x-kept-at'));
  const text = await kept.text();
  const said = at === 0 ? '' : 'No signal. This page is from ' + new Date(at).toLocaleString() +
    '. Enter all the same: it is sent later.';
  const body = text
    .replace(/name="once" value="[^"]*"/g, () => 'name="once" value="' + crypto.randomUUID() + '"')
    .replace(/(id="signal" role="status") hidden>/, (all, begin) => (said === '' ? all : begin + '>' + said));
  return new Response(body, { headers: { 'Content-Type': 'text/html; charset=utf-8' } });
}

async function keepPage(url, answer) {
  const type = answer.headers.get('content-type') ?? '';
  if (answer.status !== 200 || answer.redirected || !type.startsWith('text/html')) return;
  const headers = { 'Content-Type': type, 'x-kept-at': String(Date.now()) };
  const policy = answer.headers.get('content-security-policy');
  if (policy !== null) headers['Content-Security-Policy'] = policy;
  const cache = await caches.open(KEPT);
  await cache.put(url, new Response(await answer.text(), { headers }));
}

const forgetPage = async (url) => (await caches.open(KEPT)).delete(url);

/** Keeps what somebody may need without signal, one after the other; forgets what is days old. */
async function keepPages(addresses) {
  const cache = await caches.open(KEPT);
  const fresh = Date.now() - 600000;
  for (const address of addresses) {
    const url = new URL(address, location.origin).href;
    if (!url.startsWith(location.origin + '/yard/operations/')) continue;
    const kept = await cache.match(url);
    if (kept !== undefined && Number(kept.headers.get('x-kept-at')) > fresh) continue;
    try {
      await keepPage(url, await fetch(url, { headers: { Accept: 'text/html' }, redirect: 'manual' }));
    } catch {
      break;
    }
  }
  const dated = [];
  for (const request of await cache.keys()) {
    const at = Number((await cache.match(request)).headers.get('x-kept-at') ?? 0);
    if (at > 0) dated.push({ request, at });
  }
  dated.sort((one, other) => other.at - one.at);
  for (const [index, { request, at }] of dated.entries())
    if (index >= KEPT_MOST || at < Date.now() - KEPT_MOST_MS) await cache.delete(request);
}

/** Whoever signs out takes the pages along; what they typed stays until they send it. */
async function signOut(request) {
  const answer = await fetch(request);
  const cache = await caches.open(KEPT);
  for (const one of await cache.keys()) if (!SHELL.includes(new URL(one.url).pathname)) await cache.delete(one);
  return answer;
}

// ───────── entries ─────────
async function enter(request) {
  const text = await request.clone().text();
  const fields = new URLSearchParams(text);
  const once = fields.get('once');
  if (once === null) return fetch(request);
  // What was typed before comes first.
  await sendAll(once);
  const before = (await all()).some((one) => one.state === 'waiting' && one.once !== once);
  if (before) return keepEntry(request.url, text, fields, 'Earlier entries wait as well.');
  try {
    const answer = await Promise.race([fetch(request), after(ENTRY_MOST_MS)]);
    if (answer.type === 'opaqueredirect') await done(once);
    else if (isNoAnswer(answer.status))
      return await keepEntry(request.url, text, fields, whyWaiting(answer.status), true);
    else await update(request.url, text, once);
    return answer;
  } catch {
    return keepEntry(request.url, text, fields, 'There was no signal.', true);
  }
}

const isNoAnswer = (status) => status === 401 || status === 408 || status === 429 || status >= 500;
const whyWaiting = (status) =>
  status === 401
    ? 'You are not signed in any more: sign in, and it is sent.'
    : 'The server could not take it just then.';

async function keepEntry(action, text, fields, told, tried = false) {
  const known = await byOnce(fields.get('once'));
  const entry = {
    ...(known ?? { typedAt: Date.now(), triedAt: null }),
    once: fields.get('once'),
    action,
    text,
    told,
    state: 'waiting',
  };
  if (tried) entry.triedAt ??= Date.now();
  await put(entry);
  if (self.registration.sync !== undefined) await self.registration.sync.register('entries').catch(() => undefined);
  await tell();
  return Response.redirect('/yard/waiting?kept=' + encodeURIComponent(entry.once), 303);
}

async function done(once) {
  const known = await byOnce(once);
  if (known !== undefined) await drop(known.order);
  await tell();
}

/** One that is being mended, and was refused again: as it was typed last. */
async function update(action, text, once) {
  const known = await byOnce(once);
  if (known !== undefined) await put({ ...known, action, text });
}

let sending;
const sendAll = (except) => (sending ??= sendInOrder(except).finally(() => { sending = undefined; }));

async function sendInOrder(except) {
  for (const entry of (await all()).filter((one) => one.state === 'waiting' && one.once !== except)) {
    if (entry.triedAt !== null && Date.now() - entry.triedAt > SURE_MS) {
      const told = 'It was sent two days ago without an answer. See whether it is in the books.';
      await put({ ...entry, state: 'unsure', told });
      continue;
    }
    entry.triedAt ??= Date.now();
    await put(entry);
    let answer;
    try {
      answer = await fetch(entry.action, {
        method: 'POST',
        headers: { 'Content-Type': 'application/x-www-form-urlencoded', Accept: 'application/json' },
        body: entry.text,
        redirect: 'manual',
      });
    } catch {
      break;
    }
    if (answer.type === 'opaqueredirect') await drop(entry.order);
    else if (isNoAnswer(answer.status)) {
      await put({ ...entry, told: whyWaiting(answer.status) });
      break;
    } else await put({ ...entry, state: 'refused', told: await wordsOf(answer) });
  }
  await tell();
}

async function wordsOf(answer) {
  try {
    const { title, detail, errors } = await answer.json();
    const messages = (errors ?? []).map((one) => one.message);
    return [title + '.', ...(messages.length > 0 ? messages : [detail ?? ''])].join(' ').trim();
  } catch {
    return 'The server refused it (' + answer.status + ').';
  }
}

async function again(order) {
  const entry = await (await entries()).get('entries', order);
  if (entry !== undefined) await put({ ...entry, state: 'waiting', triedAt: null });
  await sendAll();
}

async function tell() {
  const left = await all();
  for (const client of await clients.matchAll({ type: 'window', includeUncontrolled: true }))
    client.postMessage({ waiting: left.length, refused: left.filter((one) => one.state !== 'waiting').length });
}

const after = (ms) => new Promise((_, fail) => setTimeout(() => fail(new Error('no answer')), ms));
`;
