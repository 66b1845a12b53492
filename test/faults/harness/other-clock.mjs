// `node --import` this, and the clock of the process and its threads is as many milliseconds ahead as the file that
// RICKYARD_TEST_CLOCK names says, and behind where that is below zero. PostgreSQL keeps the machine's own clock.
import { readFileSync } from 'node:fs';

const file = process.env.RICKYARD_TEST_CLOCK;
const RealDate = Date;
const realNow = Date.now.bind(Date);
let ahead = 0;
let readAt = 0;

function now() {
  const at = realNow();
  if (Math.abs(at - readAt) > 20) {
    readAt = at;
    try {
      ahead = Number(readFileSync(file, 'utf8')) || 0;
    } catch {
      // As it was.
    }
  }
  return at + ahead;
}

if (file !== undefined)
  globalThis.Date = class Date extends RealDate {
    constructor(...given) {
      if (given.length === 0) super(now());
      else super(...given);
    }

    static now() {
      return now();
    }
  };
