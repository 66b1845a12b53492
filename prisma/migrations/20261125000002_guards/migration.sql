-- What Prisma's schema language cannot say: who may see which row, what may never change, what may never go below zero.

-- ───────── the role that requests are served with ─────────
-- A group without login; the server logs in as a member of it. It owns nothing and bypasses nothing.
DO $$
BEGIN
  IF NOT EXISTS (SELECT 1 FROM pg_roles WHERE rolname = 'rickyard_app') THEN
    CREATE ROLE rickyard_app NOLOGIN NOSUPERUSER NOCREATEDB NOCREATEROLE NOBYPASSRLS;
  END IF;
END $$;

CREATE SCHEMA rickyard;
GRANT USAGE ON SCHEMA public, rickyard TO rickyard_app;

-- ───────── who is asking ─────────
-- A tenant transaction begins with rickyard.enter(): it writes the person, the key and the moment into settings that end with the
-- transaction, reads that person's memberships of that moment, and writes down in which operations which kind of act is allowed.
-- Without it every list is empty and no row shows.

CREATE FUNCTION rickyard.person() RETURNS uuid LANGUAGE sql STABLE
AS $$ SELECT NULLIF(current_setting('rickyard.person_id', true), '')::uuid $$;

CREATE FUNCTION rickyard.setting(name text) RETURNS text LANGUAGE sql STABLE
AS $$ SELECT NULLIF(current_setting('rickyard.' || name, true), '') $$;

-- The operations in which the one asking may do this kind of act: read, prices, records, daily, desk, office or own.
CREATE FUNCTION rickyard.operations(act text) RETURNS uuid[] LANGUAGE sql STABLE
AS $$ SELECT COALESCE(NULLIF(current_setting('rickyard.may_' || act, true), ''), '{}')::uuid[] $$;

CREATE FUNCTION rickyard.enter(the_person uuid, the_key uuid, the_moment timestamptz, only_operation uuid)
RETURNS TABLE (operation_id uuid, role text, sees_prices boolean, scopes text[])
LANGUAGE plpgsql AS $$
DECLARE
  key_scopes text[];
  key_operation uuid;
BEGIN
  PERFORM set_config('rickyard.person_id', COALESCE(the_person::text, ''), true);
  PERFORM set_config('rickyard.key_id', COALESCE(the_key::text, ''), true);
  PERFORM set_config('rickyard.moment', COALESCE(the_moment::text, ''), true);
  PERFORM set_config('rickyard.may_' || act, '{}', true) FROM unnest(ARRAY['read', 'prices', 'records', 'daily', 'desk', 'office', 'own']) AS act;

  IF the_key IS NOT NULL THEN
    SELECT k.scopes, k.operation_id INTO key_scopes, key_operation
      FROM api_key k
     WHERE k.id = the_key AND k.created_by = the_person AND k.revoked_at IS NULL AND k.expires_at > the_moment;
    IF NOT FOUND THEN RETURN; END IF;
  END IF;

  PERFORM set_config('rickyard.may_' || allowed.act, allowed.operations::text, true)
    FROM (
      SELECT grants.act, array_agg(m.operation_id) AS operations
        FROM membership m
        JOIN (VALUES
          ('owner', 'read'), ('owner', 'prices'), ('owner', 'records'), ('owner', 'daily'), ('owner', 'desk'), ('owner', 'office'), ('owner', 'own'),
          ('manager', 'read'), ('manager', 'prices'), ('manager', 'records'), ('manager', 'daily'),
          ('hand', 'read'), ('hand', 'daily'),
          ('nutritionist', 'read'), ('nutritionist', 'prices'), ('nutritionist', 'desk'),
          ('accountant', 'read'), ('accountant', 'prices'), ('accountant', 'office')
        ) AS grants (role, act) ON grants.role = m.role
       WHERE m.person_id = the_person
         AND m.from_at <= the_moment AND (m.until_at IS NULL OR m.until_at > the_moment)
         AND (only_operation IS NULL OR m.operation_id = only_operation)
         AND (grants.act <> 'prices' OR m.sees_prices)
         -- A key can do no more than the person who made it may do now, and no more than its scopes.
         AND (the_key IS NULL OR (m.operation_id = key_operation AND grants.act = ANY (key_scopes)))
       GROUP BY grants.act
    ) AS allowed;

  RETURN QUERY
    SELECT m.operation_id, m.role, m.sees_prices, key_scopes
      FROM membership m
     WHERE m.person_id = the_person
       AND m.from_at <= the_moment AND (m.until_at IS NULL OR m.until_at > the_moment)
       AND (only_operation IS NULL OR m.operation_id = only_operation)
       AND (the_key IS NULL OR m.operation_id = key_operation);
END $$;

-- A new operation has no member yet: its founder may write into this one id, for this transaction.
CREATE FUNCTION rickyard.found(new_operation uuid) RETURNS void LANGUAGE plpgsql AS $$
BEGIN
  IF rickyard.person() IS NULL THEN
    RAISE EXCEPTION 'only a person who is signed in can open an operation';
  END IF;
  PERFORM set_config('rickyard.may_' || act, ('{' || new_operation || '}'), true) FROM unnest(ARRAY['read', 'prices', 'records', 'daily', 'desk', 'office', 'own']) AS act;
END $$;

GRANT EXECUTE ON ALL FUNCTIONS IN SCHEMA rickyard TO rickyard_app;

-- ───────── row-level security ─────────
-- One row per table: what it takes to read a row, to add one, to change one (null: never), to delete one (null: never).
DO $$
DECLARE
  rule record;
  within text := '%I = ANY (ARRAY(SELECT unnest(rickyard.operations(%L))))';
BEGIN
  FOR rule IN
    SELECT * FROM (VALUES
      -- table,               key,            read,     insert,    update,    delete
      ('operation',           'id',           'read',   'own',     'own',     NULL),
      ('ranch',               'operation_id', 'read',   'records', 'records', NULL),
      ('place',               'operation_id', 'read',   'records', 'records', NULL),
      ('herd',                'operation_id', 'read',   'records', 'records', NULL),
      ('head_change',         'operation_id', 'read',   'records', NULL,      NULL),
      ('hay_lot',             'operation_id', 'read',   'records', 'records', NULL),
      ('hay_purchase',        'operation_id', 'read',   'records', NULL,      NULL),
      ('hay_purchase_price',  'operation_id', 'prices', 'records', NULL,      NULL),
      ('stock_movement',      'operation_id', 'read',   'daily',   NULL,      NULL),
      ('stock_cost',          'operation_id', 'prices', 'records', NULL,      NULL),
      ('lab_test',            'operation_id', 'read',   'records', NULL,      NULL),
      ('feeding',             'operation_id', 'read',   'daily',   NULL,      NULL),
      ('feeding_layer',       'operation_id', 'read',   'daily',   NULL,      NULL),
      ('weigh_in',            'operation_id', 'read',   'daily',   NULL,      NULL),
      ('animal_weight',       'operation_id', 'read',   'daily',   NULL,      NULL),
      ('yardage_rate',        'operation_id', 'prices', 'records', NULL,      NULL),
      ('reversal',            'operation_id', 'read',   'daily',   NULL,      NULL)
    ) AS rules (table_name, key_column, read_act, insert_act, update_act, delete_act)
  LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', rule.table_name);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', rule.table_name);
    EXECUTE format('GRANT SELECT, INSERT ON %I TO rickyard_app', rule.table_name);
    EXECUTE format('CREATE POLICY %I ON %I FOR SELECT USING (' || within || ')',
      rule.table_name || '_read', rule.table_name, rule.key_column, rule.read_act);
    EXECUTE format('CREATE POLICY %I ON %I FOR INSERT WITH CHECK (' || within || ')',
      rule.table_name || '_insert', rule.table_name, rule.key_column, rule.insert_act);
    IF rule.update_act IS NOT NULL THEN
      EXECUTE format('GRANT UPDATE ON %I TO rickyard_app', rule.table_name);
      EXECUTE format('CREATE POLICY %I ON %I FOR UPDATE USING (' || within || ') WITH CHECK (' || within || ')',
        rule.table_name || '_update', rule.table_name, rule.key_column, rule.update_act, rule.key_column, rule.update_act);
    END IF;
  END LOOP;
END $$;

ALTER TABLE person ENABLE ROW LEVEL SECURITY;
ALTER TABLE person FORCE ROW LEVEL SECURITY;
GRANT SELECT, INSERT, UPDATE ON person TO rickyard_app;
-- Oneself, the one whose email was just given to sign in, and those who share an operation with the one asking.
CREATE POLICY person_read ON person FOR SELECT USING (
  id = (SELECT rickyard.person())
  OR email = (SELECT rickyard.setting('sign_in_email'))
  OR id IN (SELECT m.person_id FROM membership m)
);
CREATE POLICY person_insert ON person FOR INSERT WITH CHECK (id = (SELECT rickyard.setting('enrolling_id')::uuid));
CREATE POLICY person_update ON person FOR UPDATE USING (id = (SELECT rickyard.person())) WITH CHECK (id = (SELECT rickyard.person()));

ALTER TABLE membership ENABLE ROW LEVEL SECURITY;
ALTER TABLE membership FORCE ROW LEVEL SECURITY;
GRANT SELECT, INSERT, UPDATE ON membership TO rickyard_app;
CREATE POLICY membership_read ON membership FOR SELECT USING (
  person_id = (SELECT rickyard.person()) OR operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('read'))))
);
CREATE POLICY membership_insert ON membership FOR INSERT WITH CHECK (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))));
CREATE POLICY membership_update ON membership FOR UPDATE
  USING (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))))
  WITH CHECK (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))));

ALTER TABLE api_key ENABLE ROW LEVEL SECURITY;
ALTER TABLE api_key FORCE ROW LEVEL SECURITY;
GRANT SELECT, INSERT, UPDATE ON api_key TO rickyard_app;
-- The key that is being shown right now, one's own keys, and for owners every key of the operation.
CREATE POLICY api_key_read ON api_key FOR SELECT USING (
  id = (SELECT rickyard.setting('key_id')::uuid)
  OR created_by = (SELECT rickyard.person())
  OR operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own'))))
);
CREATE POLICY api_key_insert ON api_key FOR INSERT WITH CHECK (
  created_by = (SELECT rickyard.person()) AND operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('read'))))
);
CREATE POLICY api_key_update ON api_key FOR UPDATE
  USING (
    id = (SELECT rickyard.setting('key_id')::uuid)
    OR created_by = (SELECT rickyard.person())
    OR operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own'))))
  );

ALTER TABLE person_session ENABLE ROW LEVEL SECURITY;
ALTER TABLE person_session FORCE ROW LEVEL SECURITY;
GRANT SELECT, INSERT, UPDATE ON person_session TO rickyard_app;
CREATE POLICY person_session_all ON person_session
  USING (person_id = (SELECT rickyard.person()) OR id IN (SELECT t.session_id FROM session_token t))
  WITH CHECK (person_id = (SELECT rickyard.person()));

ALTER TABLE session_token ENABLE ROW LEVEL SECURITY;
ALTER TABLE session_token FORCE ROW LEVEL SECURITY;
GRANT SELECT, INSERT, UPDATE ON session_token TO rickyard_app;
-- A token row shows to the one who holds the token (its hash is the proof) and to its person.
CREATE POLICY session_token_all ON session_token
  USING (
    access_hash = (SELECT rickyard.setting('proof'))
    OR refresh_hash = (SELECT rickyard.setting('proof'))
    OR person_id = (SELECT rickyard.person())
  )
  WITH CHECK (person_id = (SELECT rickyard.person()));

ALTER TABLE sign_in_attempt ENABLE ROW LEVEL SECURITY;
ALTER TABLE sign_in_attempt FORCE ROW LEVEL SECURITY;
GRANT SELECT, INSERT, DELETE ON sign_in_attempt TO rickyard_app;
CREATE POLICY sign_in_attempt_all ON sign_in_attempt
  USING (subject_hash = ANY (string_to_array((SELECT rickyard.setting('subjects')), ',')))
  WITH CHECK (subject_hash = ANY (string_to_array((SELECT rickyard.setting('subjects')), ',')));

ALTER TABLE audit_entry ENABLE ROW LEVEL SECURITY;
ALTER TABLE audit_entry FORCE ROW LEVEL SECURITY;
GRANT SELECT, INSERT ON audit_entry TO rickyard_app;
CREATE POLICY audit_entry_read ON audit_entry FOR SELECT USING (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own'))))
  -- The chain's last link must be seen to add the next one (only within rickyard.chain_audit_entry).
  OR (rickyard.setting('chaining') = 'yes' AND operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('read')))))
);
CREATE POLICY audit_entry_insert ON audit_entry FOR INSERT WITH CHECK (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('read')))));

ALTER TABLE idempotency_record ENABLE ROW LEVEL SECURITY;
ALTER TABLE idempotency_record FORCE ROW LEVEL SECURITY;
GRANT SELECT, INSERT, UPDATE, DELETE ON idempotency_record TO rickyard_app;
CREATE POLICY idempotency_record_all ON idempotency_record
  USING (actor = (SELECT rickyard.setting('actor')))
  WITH CHECK (actor = (SELECT rickyard.setting('actor')));

GRANT USAGE ON ALL SEQUENCES IN SCHEMA public TO rickyard_app;

-- Whoever may correct the books must reverse money that they may not see: within a reversal the rows show to them, and only there.
DROP POLICY stock_cost_read ON stock_cost;
CREATE POLICY stock_cost_read ON stock_cost FOR SELECT USING (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('prices'))))
  OR (rickyard.setting('reversing') = 'yes' AND operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('records')))))
);

-- ───────── what was written stays ─────────
CREATE FUNCTION rickyard.refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION '% is append-only: a mistake is answered by a reversal, never by an edit', TG_TABLE_NAME USING ERRCODE = 'RY002';
END $$;

DO $$
DECLARE
  guarded text;
BEGIN
  FOREACH guarded IN ARRAY ARRAY[
    'head_change', 'hay_purchase', 'hay_purchase_price', 'stock_movement', 'stock_cost', 'lab_test', 'feeding', 'feeding_layer',
    'weigh_in', 'animal_weight', 'yardage_rate', 'reversal', 'audit_entry'
  ] LOOP
    EXECUTE format('CREATE TRIGGER %I BEFORE UPDATE OR DELETE ON %I FOR EACH ROW EXECUTE FUNCTION rickyard.refuse_change()', guarded || '_append_only', guarded);
    EXECUTE format('CREATE TRIGGER %I BEFORE TRUNCATE ON %I FOR EACH STATEMENT EXECUTE FUNCTION rickyard.refuse_change()', guarded || '_no_truncate', guarded);
  END LOOP;
END $$;

-- ───────── a lot cannot be drawn below zero, at any instant, by any number of clients ─────────
-- The lots touched are locked one after the other in the order of their ids; then each running balance is checked from the first to
-- the last movement, so that a back-dated draw is measured against every later balance too. What happens at one instant counts together:
-- a reversal stands at the instant of what it reverses, and no balance between the two was ever real.
CREATE FUNCTION rickyard.check_lot_balance() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  lot record;
  shortfall record;
BEGIN
  FOR lot IN SELECT DISTINCT operation_id, hay_lot_id FROM added ORDER BY hay_lot_id LOOP
    PERFORM pg_advisory_xact_lock(hashtextextended(lot.hay_lot_id::text, 727));
    SELECT * INTO shortfall FROM (
      SELECT m.effective_on, sum(m.kilograms) OVER (ORDER BY m.effective_at) AS balance
        FROM stock_movement m
       WHERE m.operation_id = lot.operation_id AND m.hay_lot_id = lot.hay_lot_id
    ) AS running WHERE running.balance < 0 ORDER BY running.balance LIMIT 1;
    IF FOUND THEN
      RAISE EXCEPTION 'hay lot % would be drawn below zero', lot.hay_lot_id USING
        ERRCODE = 'RY001',
        DETAIL = json_build_object('hayLotId', lot.hay_lot_id, 'shortKilograms', (-shortfall.balance)::text, 'on', shortfall.effective_on)::text;
    END IF;
  END LOOP;
  RETURN NULL;
END $$;
CREATE TRIGGER stock_movement_balance AFTER INSERT ON stock_movement
  REFERENCING NEW TABLE AS added FOR EACH STATEMENT EXECUTE FUNCTION rickyard.check_lot_balance();

-- A reversing movement undoes exactly one other: same lot, opposite amount, not before it.
CREATE FUNCTION rickyard.check_movement_reversal() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  original stock_movement;
BEGIN
  SELECT * INTO original FROM stock_movement m WHERE m.operation_id = NEW.operation_id AND m.id = NEW.reverses_id;
  IF NOT FOUND OR original.hay_lot_id <> NEW.hay_lot_id OR original.kilograms <> -NEW.kilograms
     OR NEW.effective_at < original.effective_at OR original.reverses_id IS NOT NULL OR NEW.reason IS NULL THEN
    RAISE EXCEPTION 'a reversing movement must undo exactly one movement of its lot, with a reason, and not before it' USING ERRCODE = 'RY003';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER stock_movement_reversal BEFORE INSERT ON stock_movement
  FOR EACH ROW WHEN (NEW.reverses_id IS NOT NULL) EXECUTE FUNCTION rickyard.check_movement_reversal();

-- ───────── a herd cannot have fewer than no animals ─────────
CREATE FUNCTION rickyard.check_herd_head() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  touched record;
  shortfall record;
BEGIN
  FOR touched IN SELECT DISTINCT operation_id, herd_id FROM added ORDER BY herd_id LOOP
    PERFORM pg_advisory_xact_lock(hashtextextended(touched.herd_id::text, 728));
    SELECT * INTO shortfall FROM (
      SELECT h.happened_on, sum(h.head) OVER (ORDER BY h.happened_on) AS head
        FROM head_change h WHERE h.operation_id = touched.operation_id AND h.herd_id = touched.herd_id
    ) AS running WHERE running.head < 0 ORDER BY running.happened_on LIMIT 1;
    IF FOUND THEN
      RAISE EXCEPTION 'herd % would have fewer than no animals', touched.herd_id USING
        ERRCODE = 'RY004',
        DETAIL = json_build_object('herdId', touched.herd_id, 'head', shortfall.head, 'on', shortfall.happened_on)::text;
    END IF;
  END LOOP;
  RETURN NULL;
END $$;
CREATE TRIGGER head_change_head AFTER INSERT ON head_change
  REFERENCING NEW TABLE AS added FOR EACH STATEMENT EXECUTE FUNCTION rickyard.check_herd_head();

-- ───────── the audit is a chain ─────────
CREATE FUNCTION rickyard.chain_audit_entry() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  last_link record;
BEGIN
  PERFORM pg_advisory_xact_lock(hashtextextended(NEW.operation_id::text, 729));
  PERFORM set_config('rickyard.chaining', 'yes', true);
  SELECT a.sequence, a.chain_hash INTO last_link FROM audit_entry a WHERE a.operation_id = NEW.operation_id ORDER BY a.sequence DESC LIMIT 1;
  PERFORM set_config('rickyard.chaining', '', true);
  NEW.sequence := COALESCE(last_link.sequence, 0) + 1;
  NEW.recorded_at := clock_timestamp();
  NEW.chain_hash := encode(sha256(convert_to(jsonb_build_array(COALESCE(last_link.chain_hash, ''), NEW.operation_id, NEW.sequence,
    to_char(NEW.recorded_at AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.US'), NEW.person_id, NEW.api_key_id, NEW.request_id, NEW.address, NEW.action,
    NEW.subject_kind, NEW.subject_id, NEW.before, NEW.after)::text, 'UTF8')), 'hex');
  RETURN NEW;
END $$;
CREATE TRIGGER audit_entry_chain BEFORE INSERT ON audit_entry FOR EACH ROW EXECUTE FUNCTION rickyard.chain_audit_entry();

-- ───────── words and ranges ─────────
ALTER TABLE operation
  ADD CONSTRAINT operation_units CHECK (unit_preference IN ('us', 'metric')),
  ADD CONSTRAINT operation_costing CHECK (costing_method IN ('specific-lot', 'moving-average', 'fifo')),
  ADD CONSTRAINT operation_currency CHECK (currency ~ '^[A-Z]{3}$');
ALTER TABLE membership
  ADD CONSTRAINT membership_role CHECK (role IN ('owner', 'manager', 'hand', 'nutritionist', 'accountant')),
  ADD CONSTRAINT membership_span CHECK (until_at IS NULL OR until_at >= from_at),
  ADD CONSTRAINT membership_hand_sees_no_prices CHECK (role <> 'hand' OR NOT sees_prices);
ALTER TABLE head_change
  ADD CONSTRAINT head_change_kind CHECK (kind IN ('in', 'out', 'death', 'sale', 'move-in', 'move-out', 'reversal')),
  ADD CONSTRAINT head_change_sign CHECK (head <> 0 AND (kind = 'reversal' OR (head > 0) = (kind IN ('in', 'move-in')))),
  ADD CONSTRAINT head_change_reversal CHECK ((kind = 'reversal') = (reverses_id IS NOT NULL));
ALTER TABLE hay_lot
  ADD CONSTRAINT hay_lot_category CHECK (category IN ('hay', 'other')),
  ADD CONSTRAINT hay_lot_origin CHECK (origin IN ('purchased', 'raised'));
ALTER TABLE hay_purchase
  ADD CONSTRAINT hay_purchase_weight CHECK (weight_kg > 0),
  ADD CONSTRAINT hay_purchase_moisture CHECK (moisture_pct IS NULL OR (moisture_pct >= 0 AND moisture_pct < 100));
ALTER TABLE hay_purchase_price
  ADD CONSTRAINT hay_purchase_price_amounts CHECK (hay_amount >= 0 AND freight_amount >= 0 AND charges_amount >= 0);
ALTER TABLE stock_movement
  ADD CONSTRAINT stock_movement_kind CHECK (kind IN ('purchase', 'harvest', 'transfer-in', 'transfer-out', 'feed', 'shrink', 'count-adjustment', 'sale', 'reversal')),
  ADD CONSTRAINT stock_movement_sign CHECK (
    kilograms <> 0 AND CASE
      WHEN kind IN ('purchase', 'harvest', 'transfer-in') THEN kilograms > 0
      WHEN kind IN ('transfer-out', 'feed', 'shrink', 'sale') THEN kilograms < 0
      ELSE true END),
  ADD CONSTRAINT stock_movement_reversal_link CHECK ((kind = 'reversal') = (reverses_id IS NOT NULL));
ALTER TABLE feeding
  ADD CONSTRAINT feeding_head CHECK (head_fed > 0),
  ADD CONSTRAINT feeding_left CHECK ((refused_kg IS NULL OR refused_kg >= 0) AND (wasted_kg IS NULL OR wasted_kg >= 0));
ALTER TABLE feeding_layer
  ADD CONSTRAINT feeding_layer_role CHECK (role IN ('coarse', 'rich', 'mixed')),
  ADD CONSTRAINT feeding_layer_weight CHECK (kilograms > 0);
ALTER TABLE weigh_in
  ADD CONSTRAINT weigh_in_scope CHECK (scope IN ('group', 'animal')),
  ADD CONSTRAINT weigh_in_fill CHECK (fill IN ('full', 'shrunk')),
  ADD CONSTRAINT weigh_in_head CHECK (head > 0 AND mean_kg > 0);
ALTER TABLE animal_weight ADD CONSTRAINT animal_weight_positive CHECK (kilograms > 0);
ALTER TABLE yardage_rate ADD CONSTRAINT yardage_rate_amount CHECK (amount >= 0);
