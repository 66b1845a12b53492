import type { INestApplicationContext } from '@nestjs/common';
import { systemClock } from '../src/platform/clock.js';
import type { Config } from '../src/platform/config.js';
import { Database } from '../src/platform/database/database.js';
import { isEmpty } from '../src/platform/database/is-empty.read.js';
import { say } from '../src/platform/say.js';
import { replacePublished, withFreshPassphrases } from './demo-passphrases.js';
import { type DemoState, demoState, loadDemo } from './load-demo.js';
import { readScenario, type Scenario } from './scenario.schema.js';
import { readTrialScenario } from './trials.js';

/** What to say of the demo once the server listens at this address. */
export type SignInLines = (address: string) => string[];

/**
 * Loads the demo if it is asked for, and only into a database that has neither a person nor an operation: books that
 * were restored are somebody's, and its passphrases would open an account beside theirs. On a server that others can
 * reach, no account keeps a passphrase that stands in the scenario: an earlier start on this machine alone may have
 * loaded it.
 */
export async function startDemo(
  application: INestApplicationContext,
  { loadDemo: asked, reachable }: Pick<Config, 'loadDemo' | 'reachable'>,
  checkout: string,
): Promise<SignInLines> {
  const published = readScenario(checkout);
  const scenario = reachable ? withFreshPassphrases(published) : published;
  const replaced = reachable ? await replacePublished(application, published, scenario, systemClock.now()) : [];
  if (replaced.length > 0) say(`Demo: passphrases that everybody can read were replaced: ${replaced.join(', ')}.`);
  if (!asked) return () => [];
  const state = await bringDemo(application, scenario, checkout);
  if (state === 'broken-off' || state === 'kept-out') return () => [];
  if (!reachable) return (address) => signInLines(scenario, address);
  const warning = ['', 'WARNING: others can reach this server, and RICKYARD_DEMO=load put the DEMO accounts on it.'];
  return state === 'loaded' || replaced.length > 0
    ? (address) => [...warning, 'These passphrases are new and shown only now.', ...signInLines(scenario, address)]
    : () => [...warning, 'Their passphrases are those that an earlier start showed.'];
}

async function bringDemo(
  application: INestApplicationContext,
  scenario: Scenario,
  checkout: string,
): Promise<DemoState | 'loaded' | 'kept-out'> {
  const state = await demoState(application, scenario, systemClock.now());
  if (state === 'whole') say('Demo: reused, it is all there.');
  if (state === 'broken-off')
    say(
      'Demo: an earlier start was stopped while loading it, so it is not whole. To load it again, stop, move the ' +
        'data folder away and start again.',
    );
  if (state !== 'absent') return state;
  if (!(await application.get(Database).withProof({}, isEmpty))) {
    say('Demo: not loaded, since there are books here already.');
    return 'kept-out';
  }
  const began = Date.now();
  await loadDemo(application, scenario, (words) => say(`Demo: ${words} …`), readTrialScenario(checkout));
  say(`Demo: loaded in ${((Date.now() - began) / 1000).toFixed(1)} s. All of it is invented.`);
  return 'loaded';
}

/** Sign-ins ready to paste, one for each person of the demo. */
function signInLines(scenario: Scenario, address: string): string[] {
  const roles = new Map(
    scenario.people.map((person) => [
      person.key,
      scenario.operations
        .flatMap((operation) => [
          ...(operation.owner === person.key ? [`owner of ${operation.name}`] : []),
          ...operation.members
            .filter((member) => member.person === person.key)
            .map((member) => `${member.role} at ${operation.name}`),
        ])
        .join(', '),
    ]),
  );
  return [
    '',
    'Sign in as one of the invented people of the demo:',
    ...scenario.people.flatMap((person) => [
      `  ${person.name}: ${roles.get(person.key) ?? ''}`,
      `    curl -s ${address}/v1/sign-in -H 'Content-Type: application/json' -d ` +
        `'${JSON.stringify({ email: person.email, passphrase: person.passphrase })}'`,
    ]),
  ];
}
