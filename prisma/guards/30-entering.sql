-- Who is asking. A tenant transaction begins with rickyard.enter(): it writes the person, the key and the moment into
-- settings that end with the transaction, reads that person's memberships at that moment, and writes down in which
-- operations each kind of act is allowed. Without it every list is empty and no row shows.

CREATE OR REPLACE FUNCTION rickyard.person() RETURNS uuid LANGUAGE sql STABLE
AS $$ SELECT NULLIF(current_setting('rickyard.person_id', true), '')::uuid $$;

CREATE OR REPLACE FUNCTION rickyard.setting(name text) RETURNS text LANGUAGE sql STABLE
AS $$ SELECT NULLIF(current_setting('rickyard.' || name, true), '') $$;

-- The operations in which the one asking may do this kind of act (one of rickyard.acts()).
CREATE OR REPLACE FUNCTION rickyard.operations(act text) RETURNS uuid[] LANGUAGE sql STABLE
AS $$ SELECT COALESCE(NULLIF(current_setting('rickyard.may_' || act, true), ''), '{}')::uuid[] $$;

-- A key of an operation reaches that operation. A key of a person's own (person_key) reaches the operations that
-- engage its maker as nutritionist at this moment.
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
       WHERE m.person_id = the_person
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
     WHERE m.person_id = the_person
       AND m.from_at <= the_moment AND (m.until_at IS NULL OR m.until_at > the_moment)
       AND (only_operation IS NULL OR m.operation_id = only_operation)
       AND (the_key IS NULL OR
         CASE WHEN key_operation IS NULL THEN m.role = 'nutritionist' ELSE m.operation_id = key_operation END);
END $$;

-- A new operation has no member yet: its founder may write into this one id, for this transaction.
CREATE OR REPLACE FUNCTION rickyard.found(new_operation uuid) RETURNS void LANGUAGE plpgsql AS $$
BEGIN
  IF rickyard.person() IS NULL THEN
    RAISE EXCEPTION 'only a person who is signed in can open an operation';
  END IF;
  PERFORM set_config('rickyard.may_' || act, ('{' || new_operation || '}'), true) FROM unnest(rickyard.acts()) AS act;
END $$;

-- The email of the one asking, read from their own row: what is offered to that address shows to them, and only for
-- this transaction.
CREATE OR REPLACE FUNCTION rickyard.know_own_email() RETURNS text LANGUAGE sql VOLATILE
AS $$
  SELECT set_config(
    'rickyard.own_email', COALESCE((SELECT p.email FROM person p WHERE p.id = rickyard.person()), ''), true)
$$;
