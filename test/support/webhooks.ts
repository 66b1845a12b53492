import { Webhook as Verifier } from 'standardwebhooks';
import { Jobs } from '../../src/platform/jobs/jobs.js';
import type { Operation } from './people.js';
import type { Received } from './receiver.js';
import type { World } from './world.js';

export interface WebhookShown {
  id: string;
  state: string;
  secret: string;
  endedBecause: string | null;
  failingSince: string | null;
  restsUntil: string | null;
  olderSecretUntil: string | null;
  answeredBy: string;
  waiting: number;
  dead: number;
  unsent: number;
  url: string;
}

export interface DeliveryShown {
  id: string;
  messageId: string;
  type: string;
  state: string;
  attempts: number;
  nextTryAt: string | null;
  lastStatus: number | null;
  lastProblem: string | null;
  message: string;
  tries: { number: number; status: number | null; problem: string | null; answer: string | null }[];
}

const EVERYTHING = ['books.closed', 'books.reopened', 'entries.corrected', 'late_cost.entered', 'hay.low'];

/** Made by the owner. */
export async function webhook(
  { as, at }: Pick<Operation, 'as' | 'at'>,
  url: string,
  happenings: readonly string[] = EVERYTHING,
  more: object = {},
): Promise<WebhookShown> {
  const body = { label: 'Bookkeeping (invented)', url, happenings, ...more };
  return (await as.owner.post<WebhookShown>(at('/webhooks'), body, { expect: 201 })).body;
}

/** What is due goes out, as this process would send it. */
export async function delivered(world: Pick<World, 'application'>): Promise<void> {
  await world.application.get(Jobs).doDue();
}

interface Step {
  minutes?: number;
  hours?: number;
  days?: number;
}

/** So much time goes by for the server, and for the jobs that it planned: their library reads the database's clock. */
export async function passed({ clock, ownerPool }: Pick<World, 'clock' | 'ownerPool'>, step: Step): Promise<void> {
  const before = clock.now().getTime();
  clock.advance(step);
  const seconds = (clock.now().getTime() - before) / 1000;
  await ownerPool.query(
    `UPDATE rickyard_jobs.job SET start_after = start_after - $1 * interval '1 second',
       started_on = started_on - $1 * interval '1 second', singleton_on = singleton_on - $1 * interval '1 second'`,
    [seconds],
  );
}

/** By the standard's own library, at the moment of the server's clock, and by the description. */
export function verified(
  secret: string,
  { headers, body }: Received,
  { clock, description }: Pick<World, 'clock' | 'description'>,
): unknown {
  const { now } = Date;
  try {
    description.checkMessage(body);
    Date.now = () => clock.now().getTime();
    return new Verifier(secret).verify(body, headers as Record<string, string>);
  } finally {
    Date.now = now;
  }
}
