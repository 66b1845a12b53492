import { ZxcvbnFactory } from '@zxcvbn-ts/core';
import { adjacencyGraphs, dictionary } from '@zxcvbn-ts/language-common';

/**
 * Below this many guesses a passphrase gives no protection even with a slow hash: score 3 of Wheeler, "zxcvbn:
 * Low-Budget Password Strength Estimation", USENIX Security 2016.
 */
const LEAST_GUESSES = 1e8;
/** Only the beginning is judged: the work grows with the cube of the length, and common passphrases are short. */
const JUDGED_CHARACTERS = 40;

let estimator: ZxcvbnFactory | undefined;

/**
 * One of the most common passphrases (the library's list of 49,000), or made of those, of keyboard rows, sequences,
 * dates and repeats. Takes a few milliseconds, so it runs after attempts were counted.
 */
export function isCommon(passphrase: string): boolean {
  estimator ??= new ZxcvbnFactory({ dictionary, graphs: adjacencyGraphs, maxLength: JUDGED_CHARACTERS });
  return estimator.check(passphrase).guesses < LEAST_GUESSES;
}
