-- Who is asking. A tenant transaction begins with rickyard.enter(): it writes the person, the key and the moment into
-- settings that end with the transaction, reads that person's memberships at that moment, and records in which
-- operations each kind of act is allowed. Without it every list is empty and no row is visible.

CREATE OR REPLACE FUNCTION rickyard.person() RETURNS uuid LANGUAGE sql STABLE
AS $$ SELECT NULLIF(current_setting('rickyard.person_id', true), '')::uuid $$;

CREATE OR REPLACE FUNCTION rickyard.setting(name text) RETURNS text LANGUAGE sql STABLE
AS $$ SELECT NULLIF(current_setting('rickyard.' || name, true), '') $$;

-- The operations in which the person asking may do this kind of act (one of rickyard.acts()).
CREATE OR REPLACE FUNCTION rickyard.operations(act text) RETURNS uuid[] LANGUAGE sql STABLE
AS $$ SELECT COALESCE(NULLIF(current_setting('rickyard.may_' || act, true), ''), '{}')::uuid[] $$;

-- An operation's key reaches that operation. A person's own key (person_key) reaches the operations that engage its
-- maker as nutritionist at this moment. A membership that no owner has confirmed opens nothing.
CREATE OR REPLACE FUNCTION rickyard.enter(
  the_person uuid, the_key uuid, the_moment timestamptz, only_operation uuid
)
RETURNS TABLE (operation_id uuid, role text, sees_prices boolean, scopes text[])
LANGUAGE plpgsql AS $$
DECLARE
  key_scopes text[];
  key_operation uuid;
BEGIN
  PERFORM set_config('rickyard.person_id', COALESCE(the_person::text, ''), true);
  PERFORM set_config('rickyard.key_id', COALESCE(the_key::text, ''), true);
  PERFORM set_config('rickyard.moment', COALESCE(the_moment::text, ''), true);
  PERFORM set_config('rickyard.may_' || act, '{}', true) FROM unnest(rickyard.acts()) AS act;

  IF the_key IS NOT NULL THEN
    SELECT k.scopes, k.operation_id INTO key_scopes, key_operation
      FROM api_key k
     WHERE k.id = the_key AND k.created_by = the_person AND k.revoked_at IS NULL AND k.expires_at > the_moment;
    IF NOT FOUND THEN
      SELECT k.scopes INTO key_scopes
        FROM person_key k
       WHERE k.id = the_key AND k.person_id = the_person AND k.revoked_at IS NULL AND k.expires_at > the_moment;
      IF NOT FOUND THEN RETURN; END IF;
    END IF;
  END IF;

  PERFORM set_config('rickyard.may_' || allowed.act, allowed.operations::text, true)
    FROM (
      SELECT grants.act, array_agg(m.operation_id) AS operations
        FROM membership m
        JOIN rickyard.role_acts() AS grants ON grants.role = m.role
       WHERE m.person_id = the_person AND m.confirmed_at IS NOT NULL
         AND m.from_at <= the_moment AND (m.until_at IS NULL OR m.until_at > the_moment)
         AND (only_operation IS NULL OR m.operation_id = only_operation)
         AND (grants.act <> 'prices' OR m.sees_prices)
         -- A key can do no more than the person who made it may do now, and no more than its scopes.
         AND (the_key IS NULL OR (grants.act = ANY (key_scopes) AND
           CASE WHEN key_operation IS NULL THEN m.role = 'nutritionist' ELSE m.operation_id = key_operation END))
       GROUP BY grants.act
    ) AS allowed;

  RETURN QUERY
    SELECT m.operation_id, m.role, m.sees_prices, key_scopes
      FROM membership m
     WHERE m.person_id = the_person AND m.confirmed_at IS NOT NULL
       AND m.from_at <= the_moment AND (m.until_at IS NULL OR m.until_at > the_moment)
       AND (only_operation IS NULL OR m.operation_id = only_operation)
       AND (the_key IS NULL OR
         CASE WHEN key_operation IS NULL THEN m.role = 'nutritionist' ELSE m.operation_id = key_operation END);
END $$;

-- Enters one operation and returns what a request needs to know about it: the memberships there (none: no row), its
-- settings and, for a write, whether something in it has passed its end without being settled.
CREATE OR REPLACE FUNCTION rickyard.enter_operation(
  the_person uuid, the_key uuid, the_moment timestamptz, the_operation uuid, the_actor text,
  to_write boolean
)
RETURNS TABLE (
  memberships jsonb, name text, unit_preference text, currency text, time_zone text, costing_method text,
  invented boolean, lapsed boolean
)
LANGUAGE plpgsql AS $$
DECLARE
  entered jsonb;
  has_lapsed boolean := false;
BEGIN
  PERFORM set_config('rickyard.actor', the_actor, true);
  SELECT jsonb_agg(to_jsonb(e)) INTO entered
    FROM rickyard.enter(the_person, the_key, the_moment, the_operation) AS e;
  IF entered IS NULL THEN RETURN; END IF;
  IF to_write THEN has_lapsed := rickyard.has_lapsed(the_operation); END IF;
  -- A separate statement, so that the policies see what was entered.
  RETURN QUERY
    SELECT entered, o.name::text, o.unit_preference::text, o.currency::text, o.time_zone::text, o.costing_method::text,
           o.invented, has_lapsed
      FROM operation o
     WHERE o.id = the_operation;
END $$;

-- Whose session is it that this token opens, at this moment, and when did they last show a secret in it? The proof is
-- gone again before anybody enters.
CREATE OR REPLACE FUNCTION rickyard.session_of_token(token_hash text, the_moment timestamptz)
RETURNS TABLE (person_id uuid, proven_at timestamptz)
LANGUAGE plpgsql AS $$
BEGIN
  PERFORM set_config('rickyard.proof', token_hash, true);
  RETURN QUERY
    SELECT t.person_id, s.proven_at
      FROM session_token t
      JOIN person_session s ON s.id = t.session_id
     WHERE t.access_hash = token_hash AND t.access_expires_at > the_moment AND s.ended_at IS NULL;
  PERFORM set_config('rickyard.proof', '', true);
END $$;

-- A new operation has no member yet: its founder may write into this one id, for this transaction.
CREATE OR REPLACE FUNCTION rickyard.found(new_operation uuid) RETURNS void LANGUAGE plpgsql AS $$
BEGIN
  IF rickyard.person() IS NULL THEN
    RAISE EXCEPTION 'only a person who is signed in can open an operation';
  END IF;
  PERFORM set_config('rickyard.may_' || act, ('{' || new_operation || '}'), true) FROM unnest(rickyard.acts()) AS act;
END $$;

-- The email of the person asking, read from their own row: shows them what is offered to that address, for this
-- transaction only.
CREATE OR REPLACE FUNCTION rickyard.know_own_email() RETURNS text LANGUAGE sql VOLATILE
AS $$
  SELECT set_config(
    'rickyard.own_email', COALESCE((SELECT p.email FROM person p WHERE p.id = rickyard.person()), ''), true)
$$;
