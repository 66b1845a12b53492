/** Work that rests after each of its steps, so that whoever has it done may let others in before the next one. */
export type Steps<Answer> = Generator<undefined, Answer, undefined>;

/** All of it without a rest. */
export function withoutRest<Answer>(steps: Steps<Answer>): Answer {
  for (;;) {
    const step = steps.next();
    if (step.done === true) return step.value;
  }
}
