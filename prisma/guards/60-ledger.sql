-- A lot cannot be drawn below zero, at any instant, by any number of clients; a herd cannot go below zero head.

-- The lots involved are locked in the order of their ids; then each running balance is checked from the earliest new
-- movement to the last one, so that a back-dated draw is checked against every later balance too. Earlier movements
-- were checked when they were written and only their sum is needed, read from an index that carries the kilograms.
-- Movements at one instant count together: a reversal has the instant of what it reverses, and no balance between the
-- two was ever real. A refused draw names the lot, how much could be drawn (nothing is said of that where nothing is
-- drawn, as in a reversal) and the newest draws since then, in the unit that was typed.
CREATE OR REPLACE FUNCTION rickyard.check_lot_balance_from(
  its_operation uuid, lot_id uuid, earliest timestamptz, asked numeric, typed text) RETURNS void LANGUAGE plpgsql AS $$
DECLARE
  carried numeric;
  shortfall record;
BEGIN
  SELECT COALESCE(sum(m.kilograms), 0) INTO carried
    FROM stock_movement m
   WHERE m.operation_id = its_operation AND m.hay_lot_id = lot_id AND m.effective_at < earliest;
  -- A RANGE window: movements at one instant count together.
  SELECT * INTO shortfall FROM (
    SELECT m.effective_on,
      carried + sum(m.kilograms) OVER (ORDER BY m.effective_at RANGE UNBOUNDED PRECEDING) AS balance
      FROM stock_movement m
     WHERE m.operation_id = its_operation AND m.hay_lot_id = lot_id AND m.effective_at >= earliest
  ) AS running WHERE running.balance < 0 ORDER BY running.balance LIMIT 1;
  IF FOUND THEN
    RAISE EXCEPTION 'hay lot % would be drawn below zero', lot_id USING
      ERRCODE = 'RY001',
      DETAIL = json_build_object(
        'hayLotId', lot_id, 'shortKilograms', (-shortfall.balance)::text, 'on', shortfall.effective_on,
        'hayLot', (SELECT h.name FROM hay_lot h WHERE h.operation_id = its_operation AND h.id = lot_id),
        'leftKilograms', CASE WHEN asked > 0 THEN GREATEST(asked + shortfall.balance, 0)::text END,
        'typedUnit', typed,
        'leaning', (SELECT COALESCE(json_agg(l), '[]') FROM rickyard.draws_since(its_operation, lot_id, earliest) l)
      )::text;
  END IF;
END $$;

-- The newest of what draws on a lot since a moment and was not reversed, and of how many it is one.
CREATE OR REPLACE FUNCTION rickyard.draws_since(its_operation uuid, lot_id uuid, since timestamptz)
RETURNS TABLE (kind text, id uuid, "on" date, kilograms text, "outOf" bigint) LANGUAGE sql STABLE AS $$
  SELECT m.source_kind, m.source_id, m.effective_on, (-sum(m.kilograms))::text, count(*) OVER ()
    FROM stock_movement m
   WHERE m.operation_id = its_operation AND m.hay_lot_id = lot_id AND m.effective_at >= since AND m.kilograms < 0
     AND m.kind <> 'reversal' AND NOT EXISTS (SELECT 1 FROM stock_movement r
       WHERE r.operation_id = m.operation_id AND r.reverses_id = m.id)
   GROUP BY m.source_kind, m.source_id, m.effective_on
   ORDER BY m.effective_on DESC, m.source_id DESC LIMIT 5
$$;

-- A correction takes a mistake out and enters what is right, in two statements: the lots are locked by each, and asked
-- after both, by the constraint below. It cannot be left out: it is asked before the commit at the latest.
CREATE OR REPLACE FUNCTION rickyard.correcting() RETURNS boolean LANGUAGE sql STABLE AS $$
  SELECT current_setting('rickyard.correcting', true) IS NOT DISTINCT FROM 'yes'
$$;

CREATE OR REPLACE FUNCTION rickyard.check_lot_balance() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  lot record;
  later boolean := rickyard.correcting();
BEGIN
  FOR lot IN
    SELECT operation_id, hay_lot_id, min(effective_at) AS earliest,
      -COALESCE(sum(kilograms) FILTER (WHERE kilograms < 0 AND kind <> 'reversal'), 0) AS asked,
      min(typed_unit) AS typed
      FROM added GROUP BY operation_id, hay_lot_id ORDER BY hay_lot_id
  LOOP
    PERFORM pg_advisory_xact_lock(hashtextextended(lot.hay_lot_id::text, 727));
    IF NOT later THEN
      PERFORM rickyard.check_lot_balance_from(lot.operation_id, lot.hay_lot_id, lot.earliest, lot.asked, lot.typed);
    END IF;
  END LOOP;
  RETURN NULL;
END $$;
CREATE TRIGGER stock_movement_balance AFTER INSERT ON stock_movement
  REFERENCING NEW TABLE AS added FOR EACH STATEMENT EXECUTE FUNCTION rickyard.check_lot_balance();

CREATE OR REPLACE FUNCTION rickyard.check_corrected_lot() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  -- What is right may draw on the lot that the mistake drew on, in another row of the same entry.
  asked numeric := (SELECT COALESCE(-sum(m.kilograms), 0) FROM stock_movement m
    WHERE m.operation_id = NEW.operation_id AND m.hay_lot_id = NEW.hay_lot_id AND m.kilograms < 0
      AND m.kind <> 'reversal' AND m.xmin = pg_current_xact_id()::xid);
BEGIN
  PERFORM rickyard.check_lot_balance_from(
    NEW.operation_id, NEW.hay_lot_id, NEW.effective_at, asked, NEW.typed_unit);
  RETURN NULL;
END $$;
CREATE CONSTRAINT TRIGGER stock_movement_correction AFTER INSERT ON stock_movement
  DEFERRABLE INITIALLY DEFERRED FOR EACH ROW WHEN (rickyard.correcting())
  EXECUTE FUNCTION rickyard.check_corrected_lot();

-- A reversing movement undoes exactly one other: same lot, opposite amount, not before it.
CREATE OR REPLACE FUNCTION rickyard.check_movement_reversal() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  original stock_movement;
BEGIN
  SELECT * INTO original FROM stock_movement m WHERE m.operation_id = NEW.operation_id AND m.id = NEW.reverses_id;
  IF NOT FOUND OR original.hay_lot_id <> NEW.hay_lot_id OR original.kilograms <> -NEW.kilograms
     OR NEW.effective_at < original.effective_at OR original.reverses_id IS NOT NULL OR NEW.reason IS NULL THEN
    RAISE EXCEPTION 'a reversing movement must undo exactly one movement of its lot, with a reason, and not before it'
      USING ERRCODE = 'RY003';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER stock_movement_reversal BEFORE INSERT ON stock_movement
  FOR EACH ROW WHEN (NEW.reverses_id IS NOT NULL) EXECUTE FUNCTION rickyard.check_movement_reversal();

CREATE OR REPLACE FUNCTION rickyard.check_head_of(its_operation uuid, its_herd uuid) RETURNS void LANGUAGE plpgsql AS $$
DECLARE
  shortfall record;
BEGIN
  SELECT * INTO shortfall FROM (
    SELECT h.happened_on, sum(h.head) OVER (ORDER BY h.happened_on) AS head
      FROM head_change h WHERE h.operation_id = its_operation AND h.herd_id = its_herd
  ) AS running WHERE running.head < 0 ORDER BY running.happened_on LIMIT 1;
  IF FOUND THEN
    RAISE EXCEPTION 'herd % would have fewer than no animals', its_herd USING
      ERRCODE = 'RY004',
      DETAIL = json_build_object(
        'herdId', its_herd, 'head', shortfall.head, 'on', shortfall.happened_on,
        'herd', (SELECT h.name FROM herd h WHERE h.operation_id = its_operation AND h.id = its_herd))::text;
  END IF;
END $$;

CREATE OR REPLACE FUNCTION rickyard.check_herd_head() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  touched record;
  later boolean := rickyard.correcting();
BEGIN
  FOR touched IN SELECT DISTINCT operation_id, herd_id FROM added ORDER BY herd_id LOOP
    PERFORM pg_advisory_xact_lock(hashtextextended(touched.herd_id::text, 728));
    IF NOT later THEN
      PERFORM rickyard.check_head_of(touched.operation_id, touched.herd_id);
    END IF;
  END LOOP;
  RETURN NULL;
END $$;
CREATE TRIGGER head_change_head AFTER INSERT ON head_change
  REFERENCING NEW TABLE AS added FOR EACH STATEMENT EXECUTE FUNCTION rickyard.check_herd_head();

CREATE OR REPLACE FUNCTION rickyard.check_corrected_herd() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  PERFORM rickyard.check_head_of(NEW.operation_id, NEW.herd_id);
  RETURN NULL;
END $$;
CREATE CONSTRAINT TRIGGER head_change_correction AFTER INSERT ON head_change
  DEFERRABLE INITIALLY DEFERRED FOR EACH ROW WHEN (rickyard.correcting())
  EXECUTE FUNCTION rickyard.check_corrected_herd();

-- An entry stands in the place of one of its own kind that is taken back: asked before the commit, since a correction
-- may enter what is right before it takes the mistake out.
CREATE OR REPLACE FUNCTION rickyard.check_entry_correction() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  of_kind boolean;
BEGIN
  EXECUTE format('SELECT EXISTS (SELECT 1 FROM %I WHERE operation_id = $1 AND id = $2)',
    replace(NEW.subject_kind, '-', '_')) INTO of_kind USING NEW.operation_id, NEW.corrects_id;
  IF NOT of_kind OR NOT (
    EXISTS (SELECT 1 FROM reversal r WHERE r.operation_id = NEW.operation_id AND r.subject_id = NEW.corrects_id)
    OR EXISTS (SELECT 1 FROM head_change h
      WHERE h.operation_id = NEW.operation_id AND h.reverses_id = NEW.corrects_id)) THEN
    RAISE EXCEPTION 'an entry can stand only in the place of one of its own kind that was reversed'
      USING ERRCODE = 'RY007';
  END IF;
  RETURN NULL;
END $$;
CREATE CONSTRAINT TRIGGER entry_correction_fits AFTER INSERT ON entry_correction
  DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION rickyard.check_entry_correction();
