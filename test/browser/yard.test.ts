/*
 * The yard's main tasks in a browser as a hand has it: a phone of 390 px, with gloves, by keyboard alone, and where the
 * signal comes and goes. What is in the books afterward is asked by the API. Everything here is invented.
 */
import { readFileSync } from 'node:fs';
import { type Browser, type BrowserContext, chromium, type Page } from 'playwright-core';
import { SignInStore } from '../../src/access/sign-in/sign-in.store.js';
import { CHROMIUM_ARGS, inChromium } from '../support/chromium.js';
import { type Operation, operationWith, type Person } from '../support/people.js';
import { weakSignal, type WeakSignal } from '../support/weak-signal.js';
import { aWinterIn, type Winter } from '../support/winter.js';
import { openWorld, type World } from '../support/world.js';

/** Rules of WCAG 2.2 as a program can try them: axe-core, the library of the accessibility trade. */
const AXE = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');

interface Barriers {
  violations: { id: string; nodes: { html: string }[] }[];
}

/** What is pressed or typed into, and lower than 48 px; a box is as high as its words beside it. */
const SMALL = `[
  ...document.querySelectorAll('form.entry :is(input, select, textarea, button), .box label'),
  ...document.querySelectorAll('.fed a, .fed button, ul.tasks a'),
]
  .filter((one) => one.type !== 'hidden' && one.type !== 'checkbox')
  .map((one) => [one.outerHTML.slice(0, 80), one.getBoundingClientRect().height])
  .filter(([, height]) => height < 48)`;

inChromium('the yard in a browser', yardIn);

function yardIn(executablePath: string): void {
  let world: World;
  let operation: Operation;
  let winter: Winter;
  let browser: Browser;
  let signal: WeakSignal;
  const contexts: BrowserContext[] = [];

  beforeAll(async () => {
    world = await openWorld();
    operation = await operationWith(world, { roles: ['owner', 'manager', 'hand'] });
    winter = await aWinterIn(operation);
    const herdAt = operation.at(`/herds/${winter.herdId}`);
    const { headers } = await operation.as.manager.get(herdAt, { expect: 200 });
    await operation.as.manager.patch(
      herdAt,
      { placeId: winter.desk.placeId },
      { ifMatch: headers['etag'] ?? '', expect: 200 },
    );
    signal = await weakSignal(world.address);
    browser = await chromium.launch({ executablePath, args: CHROMIUM_ARGS });
  });
  afterEach(async () => {
    signal.set('good');
    for (const one of contexts.splice(0)) await one.close();
  });
  afterAll(async () => {
    await browser.close();
    await signal.close();
    await world.close();
  });

  const at = (path: string): string => `${signal.address}/yard/operations/${operation.id}${path}`;
  const today = (day: string): string => at(`/today?on=${day}`);

  /** Somebody's phone, and what it complained of: errors on its console, and what the policy of the pages refused. */
  async function phoneOf(who: Person): Promise<{ page: Page; complaints: string[] }> {
    const context = await browser.newContext({ viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true });
    contexts.push(context);
    // However loaded the machine is: what does not come is waited for.
    context.setDefaultTimeout(0);
    const sessions = world.application.get(SignInStore);
    const value = await sessions.openPageSession(who.id, 'test', world.clock.now(), '10.0.0.9', 12);
    await context.addCookies([{ name: 'rickyard_pages', value, url: `${signal.address}/yard`, sameSite: 'Lax' }]);
    const page = await context.newPage();
    const complaints: string[] = [];
    page.on('console', (message) => {
      if (message.type() === 'error') complaints.push(message.text());
    });
    page.on('pageerror', (error) => complaints.push(error.message));
    return { page, complaints };
  }
  const confirmations = async (
    day: string,
  ): Promise<{ fedOn: string; asOnTheSheet: boolean; createdAt?: string }[]> => {
    const { body } = await operation.as.manager.get<{ items: { fedOn: string; asOnTheSheet: boolean }[] }>(
      operation.at(`/feed-sheet-confirmations?herdId=${winter.herdId}`),
      { expect: 200 },
    );
    return body.items.filter((one) => one.fedOn === day);
  };
  const many = async (path: string): Promise<number> =>
    (await operation.as.manager.get<{ items: unknown[] }>(operation.at(path), { expect: 200 })).body.items.length;
  /** Until the phone keeps what it needs where there is no signal. */
  async function kept(page: Page, paths: readonly string[]): Promise<void> {
    const urls = JSON.stringify(paths.map((path) => (path.startsWith('http') ? path : at(path))));
    await page.evaluate(`(async () => {
      const isKept = async () => {
        if (navigator.serviceWorker.controller === null) return false;
        for (const url of ${urls}) if ((await caches.match(url)) === undefined) return false;
        return true;
      };
      while (!(await isKept())) await new Promise((resolve) => setTimeout(resolve, 50));
    })()`);
  }
  /** Until so many entries wait on the phone; the list is filled by the page's script. */
  async function waiting(page: Page, count: number): Promise<void> {
    const items = page.locator('#waiting > li');
    if (count === 0) await items.first().waitFor({ state: 'detached' });
    else await items.nth(count - 1).waitFor();
    expect(await items.count()).toBe(count);
  }

  it('keeps nobody from a page: no barrier, no sideways scroll, targets for gloves, nothing refused', async () => {
    const { page, complaints } = await phoneOf(operation.people.manager);
    const pages = [
      '/yard',
      '/yard/waiting',
      ...['', '/today', `/herds/${winter.herdId}/fed`, '/hay-ticket', '/hay-ticket-new-lot', '/weigh-in'].map(
        (path) => `/yard/operations/${operation.id}${path}`,
      ),
      ...['/count', '/head', '/water', '/weather'].map((path) => `/yard/operations/${operation.id}${path}`),
    ];
    const found: unknown[] = [];
    for (const path of pages) {
      await page.setViewportSize({ width: 320, height: 700 });
      await page.goto(signal.address + path);
      const sideways = await page.evaluate<number>('document.documentElement.scrollWidth - innerWidth');
      if (sideways > 0) found.push([path, `${sideways} px wider than 320`]);
      await page.setViewportSize({ width: 390, height: 844 });
      const small = await page.evaluate<unknown[]>(SMALL);
      if (small.length > 0) found.push([path, 'lower than 48 px', small]);
      await page.evaluate(AXE);
      const { violations } = await page.evaluate<Barriers>('axe.run()');
      for (const { id, nodes } of violations) found.push([path, id, nodes.map(({ html }) => html.slice(0, 160))]);
    }
    expect(found).toEqual([]);
    expect(complaints).toEqual([]);
  });

  it('confirms a sheet by one tap, and enters weights by keyboard alone', async () => {
    const { page, complaints } = await phoneOf(operation.people.hand);
    await page.goto(today('2027-01-12'));
    await page.getByRole('button', { name: 'Fed as shown' }).tap();
    await page.getByText('fed as on the sheet, and in the books').waitFor();
    expect((await confirmations('2027-01-12')).map((one) => one.asOnTheSheet)).toEqual([true]);

    const before = await many('/weigh-ins');
    await page.goto(at('/weigh-in'));
    const { keyboard } = page;
    await page.getByLabel('Herd', { exact: true }).focus();
    await keyboard.press('ArrowDown');
    await keyboard.press('Tab');
    await keyboard.type('20');
    await keyboard.press('Tab');
    await keyboard.type('600');
    await keyboard.press('Tab');
    await keyboard.press('Tab');
    await keyboard.type('the mean');
    await keyboard.press('Tab');
    await keyboard.type('full');
    await page.getByRole('button', { name: 'Enter the weights' }).focus();
    await keyboard.press('Enter');
    await page.getByText('The weights are in the books.').waitFor();
    expect(await many('/weigh-ins')).toBe(before + 1);
    expect(complaints).toEqual([]);
  });

  it('without signal reads its sheets, keeps what is typed, and sends it in order when there is some', async () => {
    const { page } = await phoneOf(operation.people.hand);
    const [sheets, water] = [today('2027-01-13'), await many('/water-checks')];
    await page.goto(sheets);
    await kept(page, [sheets, '/water']);
    signal.set('none');
    await page.goto(sheets);
    await page.getByText('No signal. This page is from').waitFor();
    await page.getByRole('button', { name: 'Fed as shown' }).tap();
    await page.getByText('There was no signal.').waitFor();
    await page.goto(at('/water'));
    await page.getByLabel('Place', { exact: true }).selectOption({ label: 'Desk bunk' });
    await page.getByLabel('Trough, creek or well').fill('North trough');
    await page.getByLabel('The water is').selectOption('open');
    await page.getByRole('button', { name: 'Enter it' }).tap();
    await waiting(page, 2);
    // What waits is told in words, in the order in which it was typed.
    const told = await page.locator('#waiting > li').allInnerTexts();
    expect(told[0]).toMatch(/Weaned calves.*[\s\S]*Coarse meadow: [\d.]+ lb/);
    expect(told[1]).toMatch(/Water seen[\s\S]*Place: Desk bunk; Trough, creek or well: North trough/);
    expect(await confirmations('2027-01-13')).toEqual([]);
    signal.set('good');
    await page.getByRole('button', { name: 'Send now' }).first().tap();
    await waiting(page, 0);
    expect(await confirmations('2027-01-13')).toHaveLength(1);
    expect(await many('/water-checks')).toBe(water + 1);
  });

  it('enters once what the server did before its answer was lost and the server itself was killed', async () => {
    const { page } = await phoneOf(operation.people.hand);
    await page.goto(today('2027-01-14'));
    await kept(page, [today('2027-01-14')]);
    signal.set('answers-lost');
    await page.getByRole('button', { name: 'Fed as shown' }).tap();
    await waiting(page, 1);
    expect(await confirmations('2027-01-14')).toHaveLength(1);
    // Another process on the same books: nothing of the first one's memory is left.
    const next = await openWorld({ beside: world });
    signal.moveTo(next.address);
    signal.set('good');
    await page.getByRole('button', { name: 'Send now' }).tap();
    await waiting(page, 0);
    expect(await confirmations('2027-01-14')).toHaveLength(1);
    signal.moveTo(world.address);
    await next.close();
  });

  it('of two phones on one sheet tells the second who fed; what is refused waits until it is mended', async () => {
    const [one, two] = [await phoneOf(operation.people.hand), await phoneOf(operation.people.manager)];
    const sheets = today('2027-01-15');
    await one.page.goto(sheets);
    await two.page.goto(sheets);
    await kept(one.page, [sheets]);
    signal.set('none');
    await one.page.goto(sheets);
    await one.page.getByRole('button', { name: 'Fed as shown' }).tap();
    await waiting(one.page, 1);
    signal.set('good');
    await two.page.getByRole('button', { name: 'Fed as shown' }).tap();
    await two.page.getByText('fed as on the sheet, and in the books').waitFor();
    await one.page.getByRole('button', { name: 'Send now' }).tap();
    await one.page.getByText('Refused').waitFor();
    expect(await one.page.locator('#waiting > li').innerText()).toMatch(/confirmed before: .* entered by manager/);
    await one.page.getByRole('button', { name: 'Mend it' }).tap();
    await one.page.getByLabel('This is a second feeding on that day').waitFor();
    expect(await confirmations('2027-01-15')).toHaveLength(1);
    // Left as it is, it is not lost.
    await one.page.goto(`${signal.address}/yard/waiting`);
    await waiting(one.page, 1);
    await one.page.getByRole('button', { name: 'Drop it' }).tap();
    await one.page.getByRole('button', { name: 'Yes, drop it for good' }).tap();
    await waiting(one.page, 0);
    expect(await confirmations('2027-01-15')).toHaveLength(1);
  });
}
