/*
 * Passkeys as a person meets them: the pages of /yard in Debian's chromium, with the browser's own virtual keeper
 * (WebAuthn Level 2, 11: a virtual authenticator, by the DevTools protocol). Where there is no chromium, the one test
 * of this file says so in its name and on the terminal.
 */
import { type Browser, type CDPSession, chromium, type Page } from 'playwright-core';
import { Outside } from '../../src/platform/outside.js';
import { clientOf, PASSPHRASE, type Person, person } from '../support/people.js';
import { inChromium } from '../support/chromium.js';
import { openWorld, type World } from '../support/world.js';

inChromium('passkeys in a browser', passkeysIn);

function passkeysIn(executablePath: string): void {
  let world: World;
  let browser: Browser;
  let page: Page;
  let devTools: CDPSession;
  let at: string;
  let who: Person;

  beforeAll(async () => {
    const outside = new Outside(undefined, undefined);
    world = await openWorld({ outside });
    at = `http://localhost:${new URL(world.address).port}`;
    Object.assign(outside, { publicAddress: at });
    // As root, as in a container, chromium has no sandbox of its own.
    browser = await chromium.launch({ executablePath, args: ['--no-sandbox', '--disable-dev-shm-usage'] });
  });
  afterAll(async () => {
    await browser.close();
    await world.close();
  });
  beforeEach(async () => {
    who = await person(world, 'rancher');
    const context = await browser.newContext();
    page = await context.newPage();
    devTools = await context.newCDPSession(page);
    await devTools.send('WebAuthn.enable');
    await keeper();
  });
  afterEach(async () => {
    await page.context().close();
  });

  async function keeper({ verifies = true } = {}): Promise<string> {
    const { authenticatorId } = await devTools.send('WebAuthn.addVirtualAuthenticator', {
      options: {
        protocol: 'ctap2',
        transport: 'internal',
        hasResidentKey: true,
        hasUserVerification: true,
        isUserVerified: verifies,
        automaticPresenceSimulation: true,
      },
    });
    return authenticatorId;
  }
  async function signInByPassphrase(next = ''): Promise<void> {
    await page.goto(`${at}/yard/sign-in${next}`);
    await page.getByLabel('Email').fill(who.email);
    await page.getByLabel('Passphrase').fill(PASSPHRASE);
    await page.getByRole('button', { name: 'Sign in', exact: true }).click();
  }
  async function addOne(name: string): Promise<void> {
    await page.goto(`${at}/yard/account`);
    await page.getByLabel('Name').fill(name);
    await page.getByRole('button', { name: 'Add a passkey of this device' }).click();
    await page.getByText(name, { exact: true }).waitFor();
  }
  const signOut = async (): Promise<void> => {
    await page.goto(`${at}/yard`);
    await page.getByRole('button', { name: 'Sign out', exact: true }).click();
  };
  const told = (): Promise<string> => page.locator('form[data-passkey] [role=status]').innerText();

  it('one is added on the page of the account, signs in alone, and is ended', async () => {
    const problems: string[] = [];
    // A script or style that the policy of the pages refuses is told here.
    page.on('console', (message) => {
      if (message.type() === 'error') problems.push(message.text());
    });
    await signInByPassphrase();
    await addOne('The desk');
    await page.getByText('Recovery codes: write them down now').waitFor();
    expect(await page.locator('li.code').count()).toBe(10);
    // Once.
    await page.goto(`${at}/yard/account`);
    expect(await page.locator('li.code').count()).toBe(0);

    await signOut();
    await page.goto(`${at}/yard/sign-in?next=%2Fyard%2Faccount`);
    await page.getByRole('button', { name: 'Sign in with a passkey' }).click();
    await page.waitForURL(`${at}/yard/account`);
    await page.getByText('last used 2027-01-15').waitFor();

    // The passphrase alone is not enough any more.
    await signOut();
    await signInByPassphrase();
    await page.getByText('A one-time code is needed.').waitFor();

    await page.getByRole('button', { name: 'Sign in with a passkey' }).click();
    await page.waitForURL(`${at}/yard`);
    await page.goto(`${at}/yard/account`);
    await page.getByRole('button', { name: 'End it' }).click();
    await page.getByText('You have none.').waitFor();
    await signOut();
    await signInByPassphrase();
    await page.waitForURL(`${at}/yard`);
    // The refused sign-in is an answer of 401, which a browser calls an error of loading.
    expect(problems.filter((words) => !words.includes('401'))).toEqual([]);
  });

  it('after ten minutes one is added only after a passkey, or a code beside the passphrase, was shown', async () => {
    await signInByPassphrase();
    await addOne('The phone');
    const code = await page.locator('li.code').first().innerText();
    world.clock.advance({ minutes: 11 });
    await page.goto(`${at}/yard/account`);
    expect(await page.getByRole('button', { name: 'Add a passkey of this device' }).count()).toBe(0);
    await page.getByRole('button', { name: 'Show a passkey' }).click();
    await page.getByRole('button', { name: 'Add a passkey of this device' }).waitFor();
    world.clock.advance({ minutes: 11 });
    await page.goto(`${at}/yard/account`);
    await page.getByLabel('Passphrase').fill(PASSPHRASE);
    await page.getByRole('button', { name: 'Go on' }).click();
    await page.getByText('The passphrase alone does not sign you in, so it is not enough here either.').waitFor();
    await page.goto(`${at}/yard/account`);
    await page.getByLabel('Passphrase').fill(PASSPHRASE);
    await page.getByLabel('One-time code').fill(code);
    await page.getByRole('button', { name: 'Go on' }).click();
    await page.getByRole('button', { name: 'Add a passkey of this device' }).waitFor();
    // The device has one already, and says so.
    await page.getByLabel('Name').fill('Again');
    await page.getByRole('button', { name: 'Add a passkey of this device' }).click();
    await page.getByText('This device has a passkey of yours for this server already.').waitFor();
  });

  it('one that was made in the browser signs in at the API too, with what the browser gives of itself', async () => {
    await signInByPassphrase();
    await addOne('The desk');
    await page.goto(`${at}/yard/sign-in`);
    // Without the script of the pages: what `toJSON` of a browser writes is taken as it is.
    const answer = await page.evaluate(async () => {
      const post = (path: string, body?: object): Promise<Response> =>
        fetch(path, {
          method: 'POST',
          ...(body === undefined
            ? {}
            : { headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body) }),
        });
      const options = await (await post('/v1/passkey-challenges')).json();
      const { PublicKeyCredential, navigator } = globalThis as unknown as {
        PublicKeyCredential: { parseRequestOptionsFromJSON(given: unknown): unknown };
        navigator: { credentials: { get(asked: object): Promise<{ toJSON(): object }> } };
      };
      const publicKey = PublicKeyCredential.parseRequestOptionsFromJSON(options);
      const credential = (await navigator.credentials.get({ publicKey })).toJSON();
      const signedIn = await post('/v1/passkey-sign-ins', { credential });
      return [signedIn.status, ((await signedIn.json()) as { person?: { id: string } }).person?.id];
    });
    expect(answer).toEqual([200, who.id]);
    expect((await (await clientOf(world, who)).get<{ items: object[] }>('/v1/me/passkeys')).body.items).toHaveLength(1);
  });

  it('at another address than the public one the page says where passkeys work', async () => {
    await page.goto(`${world.address}/yard/sign-in`);
    expect(await told()).toBe(`Passkeys work at ${at} only.`);
    expect(await page.getByRole('button', { name: 'Sign in with a passkey' }).isDisabled()).toBe(true);
  });

  it('a keeper that cannot tell who it is signs nobody in, and the page says so', async () => {
    await signInByPassphrase();
    await addOne('The desk');
    await signOut();
    await devTools.send('WebAuthn.disable');
    await devTools.send('WebAuthn.enable');
    await keeper({ verifies: false });
    await page.goto(`${at}/yard/sign-in`);
    await page.getByRole('button', { name: 'Sign in with a passkey' }).click();
    await page.getByText('No passkey was given').waitFor();
  });
}
