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

-- Is the passphrase not enough alone: are one-time codes turned on, or is there a passkey, which stands for both? Who
-- has one signs in with it, or gives a code beside the passphrase. In a transaction that is that person's.
CREATE OR REPLACE FUNCTION rickyard.has_second_factor(the_person uuid) RETURNS boolean LANGUAGE sql STABLE AS $$
  SELECT EXISTS (SELECT 1 FROM second_factor f WHERE f.person_id = the_person AND f.confirmed_at IS NOT NULL)
    OR EXISTS (SELECT 1 FROM passkey k WHERE k.person_id = the_person AND k.ended_at IS NULL)
$$;

-- What an owner asks of everybody who comes in, and this one lacks; null: nothing. Reads the operation's own row, which
-- the caller has opened for this question.
CREATE OR REPLACE FUNCTION rickyard.lacking(
  asked operation, the_person uuid, the_role text, the_moment timestamptz, key_made_at timestamptz,
  proven_at timestamptz
)
RETURNS text LANGUAGE sql STABLE AS $$
  SELECT CASE
    WHEN asked.second_factor_required AND NOT rickyard.has_second_factor(the_person) THEN 'second-factor'
    WHEN key_made_at + make_interval(days => asked.key_days_most) < the_moment THEN 'newer-key'
    WHEN key_made_at IS NULL AND the_role = 'nutritionist' AND asked.consultant_hours_most IS NOT NULL
      AND COALESCE(proven_at + make_interval(hours => asked.consultant_hours_most) <= the_moment, true)
      THEN 'second-look'
  END
$$;

-- An operation's key reaches that operation, by the membership that its maker had when it was made: it ends with that,
-- and stays ended where they are let in again. A person's own key (person_key) reaches the operations that engage its
-- maker as nutritionist at this moment. A membership that no owner has confirmed opens nothing, nor does one whose
-- holder lacks what the owner asks (`lacking` then says what).
-- proven_at: when a session's person last gave a secret; regardless: for what the server itself settles.
CREATE OR REPLACE FUNCTION rickyard.enter(
  the_person uuid, the_key uuid, the_moment timestamptz, only_operation uuid,
  proven_at timestamptz DEFAULT NULL, regardless boolean DEFAULT false
)
RETURNS TABLE (operation_id uuid, role text, sees_prices boolean, scopes text[], lacking text)
LANGUAGE plpgsql AS $$
DECLARE
  key_scopes text[];
  key_operation uuid;
  key_made_at timestamptz;
  belongs membership[];
  lacks jsonb;
BEGIN
  PERFORM set_config('rickyard.person_id', COALESCE(the_person::text, ''), true);
  PERFORM set_config('rickyard.key_id', COALESCE(the_key::text, ''), true);
  PERFORM set_config('rickyard.moment', COALESCE(the_moment::text, ''), true);
  PERFORM set_config('rickyard.may_' || act, '{}', true) FROM unnest(rickyard.acts()) AS act;

  IF the_key IS NOT NULL THEN
    SELECT k.scopes, k.operation_id, k.created_at INTO key_scopes, key_operation, key_made_at
      FROM api_key k
     WHERE k.id = the_key AND k.created_by = the_person AND k.revoked_at IS NULL AND k.expires_at > the_moment;
    IF NOT FOUND THEN
      SELECT k.scopes, k.created_at INTO key_scopes, key_made_at
        FROM person_key k
       WHERE k.id = the_key AND k.person_id = the_person AND k.revoked_at IS NULL AND k.expires_at > the_moment;
      IF NOT FOUND THEN RETURN; END IF;
    END IF;
  END IF;

  SELECT array_agg(m) INTO belongs
    FROM membership m
   WHERE m.person_id = the_person AND m.confirmed_at IS NOT NULL
     AND m.from_at <= the_moment AND (m.until_at IS NULL OR m.until_at > the_moment)
     AND (only_operation IS NULL OR m.operation_id = only_operation)
     AND (the_key IS NULL OR
       CASE WHEN key_operation IS NULL THEN m.role = 'nutritionist'
         ELSE m.operation_id = key_operation AND m.from_at <= key_made_at END);

  -- The operations' own rows open for this one question; what is set below takes the place of it.
  PERFORM set_config('rickyard.may_read',
    (SELECT COALESCE(array_agg(m.operation_id), '{}') FROM unnest(belongs) AS m)::text, true);
  SELECT jsonb_object_agg(m.id, rickyard.lacking(o, the_person, m.role, the_moment, key_made_at, proven_at)) INTO lacks
    FROM unnest(belongs) AS m
    JOIN operation o ON o.id = m.operation_id
   WHERE NOT regardless
     AND (o.second_factor_required OR o.key_days_most IS NOT NULL OR o.consultant_hours_most IS NOT NULL);
  PERFORM set_config('rickyard.may_read', '{}', true);

  PERFORM set_config('rickyard.may_' || allowed.act, allowed.operations::text, true)
    FROM (
      SELECT grants.act, array_agg(m.operation_id) AS operations
        FROM unnest(belongs) AS m
        JOIN rickyard.role_acts() AS grants ON grants.role = m.role
       WHERE (grants.act <> 'prices' OR m.sees_prices)
         AND lacks->>m.id::text IS NULL
         -- A key can do no more than the person who made it may do now, and no more than its scopes.
         AND (the_key IS NULL OR grants.act = ANY (key_scopes))
       GROUP BY grants.act
    ) AS allowed;

  RETURN QUERY
    SELECT m.operation_id, m.role::text, m.sees_prices, key_scopes, lacks->>m.id::text FROM unnest(belongs) AS m;
END $$;

-- Enters one operation and returns what a request needs to know about it: the memberships there (none: no row), its
-- settings (none where every membership lacks what the owner asks) and, for a write, whether something in it has passed
-- its end without being settled.
CREATE OR REPLACE FUNCTION rickyard.enter_operation(
  the_person uuid, the_key uuid, the_moment timestamptz, the_operation uuid, the_actor text,
  to_write boolean, proven_at timestamptz DEFAULT NULL
)
RETURNS TABLE (
  memberships jsonb, name text, unit_preference text, currency text, time_zone text, costing_method text,
  invented boolean, lapsed boolean
)
LANGUAGE plpgsql ROWS 1 AS $$
DECLARE
  entered jsonb;
  has_lapsed boolean := false;
BEGIN
  PERFORM set_config('rickyard.actor', the_actor, true);
  SELECT jsonb_agg(to_jsonb(e)) INTO entered
    FROM rickyard.enter(the_person, the_key, the_moment, the_operation, proven_at) AS e;
  IF entered IS NULL THEN RETURN; END IF;
  IF to_write THEN has_lapsed := rickyard.has_lapsed(the_operation); END IF;
  -- A separate statement, so that the policies see what was entered.
  RETURN QUERY
    SELECT entered, o.name::text, o.unit_preference::text, o.currency::text, o.time_zone::text, o.costing_method::text,
           o.invented, has_lapsed
      FROM (VALUES (the_operation)) AS wanted (id) LEFT JOIN operation o ON o.id = wanted.id;
END $$;

-- Whose session is it that this token opens, at this moment, and when did they last show a secret in it? The proof is
-- gone again before anybody enters.
CREATE OR REPLACE FUNCTION rickyard.session_of_token(token_hash text, the_moment timestamptz)
RETURNS TABLE (person_id uuid, proven_at timestamptz)
LANGUAGE plpgsql ROWS 1 AS $$
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
-- An address is a claim until it is proven: what is meant for it shows by the claim only beside the code that its sender
-- handed over.
CREATE OR REPLACE FUNCTION rickyard.know_own_email() RETURNS text LANGUAGE sql VOLATILE
AS $$
  SELECT set_config('rickyard.own_proven_email', COALESCE((SELECT p.email FROM person p
    WHERE p.id = rickyard.person() AND p.email_proven_at IS NOT NULL), ''), true);
  SELECT set_config(
    'rickyard.own_email', COALESCE((SELECT p.email FROM person p WHERE p.id = rickyard.person()), ''), true)
$$;
