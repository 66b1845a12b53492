import pg from 'pg';
import { isSealed, type SecretBox } from './secret-box.js';

/**
 * When a server starts, as the schema's owner: seals what an earlier release stored in plain text; from then on the
 * database makes sure that none is. Returns what the person at the terminal must know: whose secrets were sealed under
 * a key that is not here, or that some are plain and no key was given to seal them with.
 */
export async function sealStoredSecrets(ownerUrl: string, box: SecretBox | undefined): Promise<string[]> {
  const notes: string[] = [];
  const client = new pg.Client({ connectionString: ownerUrl });
  await client.connect();
  try {
    await client.query('BEGIN');
    await client.query("SELECT set_config('rickyard.sealing', 'yes', true)");
    // Locked, for two servers that start at once and a person who signs in meanwhile.
    const { rows } = await client.query<{ person_id: string; secret: string }>(
      'SELECT person_id, secret FROM second_factor WHERE secret NOT LIKE $1 ORDER BY person_id FOR UPDATE',
      [`sealed1.${box?.keyId ?? ''}.%`],
    );
    const plain = rows.filter(({ secret }) => !isSealed(secret));
    if (box === undefined && plain.length > 0) {
      await client.query('ROLLBACK');
      return [
        `${plain.length} one-time-code secrets of an earlier release are plain text: give the key of the servers in ` +
          'RICKYARD_SECRET_KEY to have them sealed',
      ];
    }
    for (const { person_id: personId, secret } of plain)
      await client.query('UPDATE second_factor SET secret = $2 WHERE person_id = $1', [
        personId,
        box?.seal(secret, personId),
      ]);
    const { rowCount } = await client.query(
      "SELECT 1 FROM pg_constraint WHERE conrelid = 'second_factor'::regclass AND conname = " +
        "'second_factor_sealed' AND NOT convalidated",
    );
    if (rowCount !== 0) await client.query('ALTER TABLE second_factor VALIDATE CONSTRAINT second_factor_sealed');
    await client.query('COMMIT');
    if (plain.length > 0)
      notes.push(`sealed ${plain.length} one-time-code secrets that an earlier release kept in plain`);
    const foreign = box === undefined ? 0 : rows.length - plain.length;
    if (foreign > 0)
      notes.push(
        `${foreign} people's one-time codes cannot be checked: their secrets were sealed under another key. ` +
          'Bring that key back, or let them sign in with a recovery code and set up one-time codes again',
      );
  } finally {
    await client.end();
  }
  return notes;
}
