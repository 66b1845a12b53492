/** A start that cannot succeed, explained for the person at the keyboard. */
export class EmbeddedServerProblem extends Error {
  override name = 'EmbeddedServerProblem';
}
