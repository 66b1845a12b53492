/* The database connections are divided by operation: whoever has used up a share waits, and nobody else does. */
import { FairShare } from '../../src/platform/database/fair-share.js';
import { Problem } from '../../src/platform/http/problem.js';

/** Work that ends when it is told to. */
function work(): { run: () => Promise<string>; begun: () => boolean; end: () => void } {
  let end: () => void = () => undefined;
  let begun = false;
  const ended = new Promise<string>((resolve) => {
    end = () => resolve('done');
  });
  return {
    run: () => {
      begun = true;
      return ended;
    },
    begun: () => begun,
    end: () => end(),
  };
}

const settled = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));

describe('a fair share of the connections', () => {
  it('lets one operation have so many at once, and another one its own', async () => {
    const shares = new FairShare({ atOnce: 2, waiting: 10, patienceMs: 3_600_000 });
    const ours = [work(), work(), work()];
    const theirs = work();
    const answers = [...ours.map((one) => shares.of('ours', one.run)), shares.of('theirs', theirs.run)];
    await settled();
    expect(ours.map((one) => one.begun())).toEqual([true, true, false]);
    expect(theirs.begun()).toBe(true);
    ours[0]?.end();
    await settled();
    expect(ours[2]?.begun()).toBe(true);
    [...ours, theirs].forEach((one) => one.end());
    expect(await Promise.all(answers)).toEqual(['done', 'done', 'done', 'done']);
  });

  it('lets whoever has the fewest in a share come next: many of one keep nobody else of it waiting', async () => {
    const shares = new FairShare({ atOnce: 2, waiting: 100, patienceMs: 3_600_000 });
    const many = Array.from({ length: 20 }, work);
    const answers = many.map((one) => shares.of('ranch', one.run, 'hand'));
    const [first, second] = [work(), work()];
    answers.push(shares.of('ranch', first.run, 'manager'), shares.of('ranch', second.run, 'owner'));
    await settled();
    expect(many.map((one) => one.begun()).filter(Boolean)).toHaveLength(2);
    many[0]?.end();
    many[1]?.end();
    await settled();
    expect([first.begun(), second.begun()]).toEqual([true, true]);
    expect(many.map((one) => one.begun()).filter(Boolean)).toHaveLength(2);
    // What was asked by one comes in its order, and all of it is done.
    first.end();
    await settled();
    expect(many.map((one) => one.begun())).toEqual(many.map((_, at) => at < 3));
    [...many, second].forEach((one) => one.end());
    expect(await Promise.all(answers)).toHaveLength(22);
  });

  it('refuses more than may wait, saying when to try again, and takes more once there is room', async () => {
    const shares = new FairShare({ atOnce: 1, waiting: 1, patienceMs: 3_600_000 });
    const first = work();
    const second = work();
    const answers = [shares.of('ours', first.run), shares.of('ours', second.run)];
    const refused: unknown = await shares.of('ours', work().run).catch((error: unknown) => error);
    expect(refused).toBeInstanceOf(Problem);
    expect(refused).toMatchObject({ code: 'too-much-at-once', status: 429, headers: { 'Retry-After': '5' } });
    first.end();
    second.end();
    await Promise.all(answers);
    const third = work();
    third.end();
    expect(await shares.of('ours', third.run)).toBe('done');
  });

  it('does not keep anybody waiting beyond the patience, and goes on after work that failed', async () => {
    const shares = new FairShare({ atOnce: 1, waiting: 5, patienceMs: 20 });
    const slow = work();
    const answer = shares.of('ours', slow.run);
    await expect(shares.of('ours', work().run)).rejects.toMatchObject({ code: 'too-much-at-once' });
    slow.end();
    await answer;
    await expect(shares.of('ours', () => Promise.reject(new Error('broken')))).rejects.toThrow('broken');
    const next = work();
    next.end();
    expect(await shares.of('ours', next.run)).toBe('done');
  });
});
