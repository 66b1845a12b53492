-- The nutritionist's desk: weather and water as somebody found them, rations and their review, ways of laying, feed sheets that were fed.

CREATE TABLE "weather_day" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "ranch_id" UUID NOT NULL,
    "happened_on" DATE NOT NULL,
    "temperature_c" DECIMAL(7,3) NOT NULL,
    "temperature_value" TEXT NOT NULL,
    "temperature_unit" TEXT NOT NULL,
    "wind_km_h" DECIMAL(7,3),
    "wind_value" TEXT,
    "wind_unit" TEXT,
    "wet" BOOLEAN NOT NULL,
    "mud_cm" DECIMAL(7,3),
    "mud_value" TEXT,
    "mud_unit" TEXT,
    "coat" TEXT,
    "note" TEXT,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "weather_day_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE TABLE "water_check" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "place_id" UUID NOT NULL,
    "source_name" TEXT NOT NULL,
    "happened_on" DATE NOT NULL,
    "happened_at" TIMESTAMPTZ(6),
    "state" TEXT NOT NULL,
    "flow_litres_a_minute" DECIMAL(14,6),
    "flow_value" TEXT,
    "flow_unit" TEXT,
    "tank_litres" DECIMAL(14,6),
    "tank_value" TEXT,
    "tank_unit" TEXT,
    "dissolved_solids" DECIMAL(10,3),
    "sulfate" DECIMAL(10,3),
    "note" TEXT,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "water_check_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE TABLE "ration" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "herd_id" UUID NOT NULL,
    "name" TEXT NOT NULL,
    "state" TEXT NOT NULL,
    "basis" TEXT NOT NULL,
    "amount_kg" DECIMAL(24,12) NOT NULL,
    "amount_value" TEXT NOT NULL,
    "amount_unit" TEXT NOT NULL,
    "amount_basis" TEXT NOT NULL,
    "bale_rounding" TEXT NOT NULL,
    "wasted_percent" DECIMAL(6,3),
    "template_key" TEXT,
    "note" TEXT,
    "revision" INTEGER NOT NULL DEFAULT 1,
    "in_use_from" DATE,
    "in_use_until" DATE,
    "proposed_at" TIMESTAMPTZ(6),
    "proposed_by" UUID,
    "accepted_at" TIMESTAMPTZ(6),
    "accepted_by" UUID,
    "version" INTEGER NOT NULL DEFAULT 1,
    "created_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "created_by" UUID NOT NULL,

    CONSTRAINT "ration_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE TABLE "ration_layer" (
    "operation_id" UUID NOT NULL,
    "ration_id" UUID NOT NULL,
    "revision" INTEGER NOT NULL,
    "position" INTEGER NOT NULL,
    "part" INTEGER NOT NULL,
    "role" TEXT NOT NULL,
    "hay_lot_id" UUID NOT NULL,
    "share_percent" DECIMAL(9,6) NOT NULL,
    "share_value" TEXT NOT NULL,
    "density_kg_m3" DECIMAL(14,6),
    "density_value" TEXT,
    "density_unit" TEXT,

    CONSTRAINT "ration_layer_pkey" PRIMARY KEY ("operation_id", "ration_id", "revision", "position", "part")
);

CREATE TABLE "ration_note" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "ration_id" UUID NOT NULL,
    "kind" TEXT NOT NULL,
    "words" TEXT NOT NULL,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "ration_note_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE TABLE "layer_template" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "name" TEXT NOT NULL,
    "classes" TEXT[],
    "basis" TEXT NOT NULL,
    "layers" JSONB NOT NULL,
    "note" TEXT,
    "retired" BOOLEAN NOT NULL DEFAULT false,
    "version" INTEGER NOT NULL DEFAULT 1,
    "created_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "layer_template_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE TABLE "feed_sheet_confirmation" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "herd_id" UUID NOT NULL,
    "ration_id" UUID NOT NULL,
    "feeding_id" UUID NOT NULL,
    "place_id" UUID,
    "happened_on" DATE NOT NULL,
    "sheet" JSONB NOT NULL,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "feed_sheet_confirmation_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE TABLE "feed_sheet_lot" (
    "operation_id" UUID NOT NULL,
    "confirmation_id" UUID NOT NULL,
    "hay_lot_id" UUID NOT NULL,
    "bales_opened" DECIMAL(12,3),
    "fed_kg" DECIMAL(24,12) NOT NULL,
    "carried_out_kg" DECIMAL(24,12) NOT NULL,

    CONSTRAINT "feed_sheet_lot_pkey" PRIMARY KEY ("operation_id", "confirmation_id", "hay_lot_id")
);

CREATE INDEX "weather_day_operation_id_ranch_id_happened_on_idx" ON "weather_day" ("operation_id", "ranch_id", "happened_on");
CREATE INDEX "water_check_operation_id_place_id_happened_on_idx" ON "water_check" ("operation_id", "place_id", "happened_on");
CREATE INDEX "ration_operation_id_herd_id_in_use_from_idx" ON "ration" ("operation_id", "herd_id", "in_use_from");
CREATE INDEX "ration_layer_operation_id_hay_lot_id_idx" ON "ration_layer" ("operation_id", "hay_lot_id");
CREATE INDEX "ration_note_operation_id_ration_id_recorded_at_idx" ON "ration_note" ("operation_id", "ration_id", "recorded_at");
CREATE UNIQUE INDEX "feed_sheet_confirmation_operation_id_feeding_id_key" ON "feed_sheet_confirmation" ("operation_id", "feeding_id");
CREATE INDEX "feed_sheet_confirmation_operation_id_herd_id_happened_on_idx" ON "feed_sheet_confirmation" ("operation_id", "herd_id", "happened_on");

ALTER TABLE "weather_day" ADD CONSTRAINT "weather_day_operation_id_ranch_id_fkey" FOREIGN KEY ("operation_id", "ranch_id") REFERENCES "ranch"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "weather_day" ADD CONSTRAINT "weather_day_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "water_check" ADD CONSTRAINT "water_check_operation_id_place_id_fkey" FOREIGN KEY ("operation_id", "place_id") REFERENCES "place"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "water_check" ADD CONSTRAINT "water_check_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "ration" ADD CONSTRAINT "ration_operation_id_herd_id_fkey" FOREIGN KEY ("operation_id", "herd_id") REFERENCES "herd"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "ration" ADD CONSTRAINT "ration_created_by_fkey" FOREIGN KEY ("created_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "ration" ADD CONSTRAINT "ration_proposed_by_fkey" FOREIGN KEY ("proposed_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "ration" ADD CONSTRAINT "ration_accepted_by_fkey" FOREIGN KEY ("accepted_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "ration_layer" ADD CONSTRAINT "ration_layer_operation_id_ration_id_fkey" FOREIGN KEY ("operation_id", "ration_id") REFERENCES "ration"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "ration_layer" ADD CONSTRAINT "ration_layer_operation_id_hay_lot_id_fkey" FOREIGN KEY ("operation_id", "hay_lot_id") REFERENCES "hay_lot"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "ration_note" ADD CONSTRAINT "ration_note_operation_id_ration_id_fkey" FOREIGN KEY ("operation_id", "ration_id") REFERENCES "ration"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "ration_note" ADD CONSTRAINT "ration_note_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "layer_template" ADD CONSTRAINT "layer_template_operation_id_fkey" FOREIGN KEY ("operation_id") REFERENCES "operation"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "feed_sheet_confirmation" ADD CONSTRAINT "feed_sheet_confirmation_operation_id_herd_id_fkey" FOREIGN KEY ("operation_id", "herd_id") REFERENCES "herd"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "feed_sheet_confirmation" ADD CONSTRAINT "feed_sheet_confirmation_operation_id_ration_id_fkey" FOREIGN KEY ("operation_id", "ration_id") REFERENCES "ration"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "feed_sheet_confirmation" ADD CONSTRAINT "feed_sheet_confirmation_operation_id_feeding_id_fkey" FOREIGN KEY ("operation_id", "feeding_id") REFERENCES "feeding"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "feed_sheet_confirmation" ADD CONSTRAINT "feed_sheet_confirmation_operation_id_place_id_fkey" FOREIGN KEY ("operation_id", "place_id") REFERENCES "place"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "feed_sheet_confirmation" ADD CONSTRAINT "feed_sheet_confirmation_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "feed_sheet_lot" ADD CONSTRAINT "feed_sheet_lot_operation_id_confirmation_id_fkey" FOREIGN KEY ("operation_id", "confirmation_id") REFERENCES "feed_sheet_confirmation"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "feed_sheet_lot" ADD CONSTRAINT "feed_sheet_lot_operation_id_hay_lot_id_fkey" FOREIGN KEY ("operation_id", "hay_lot_id") REFERENCES "hay_lot"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- ───────── row-level security ─────────
DO $$
DECLARE
  rule record;
  within text := 'operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations(%L))))';
BEGIN
  FOR rule IN
    SELECT * FROM (VALUES
      -- table,                   insert,  update
      ('weather_day',             'daily', NULL),
      ('water_check',             'daily', NULL),
      ('ration',                  'desk',  NULL),
      ('ration_layer',            'desk',  NULL),
      ('layer_template',          'desk',  'desk'),
      ('feed_sheet_confirmation', 'daily', NULL),
      ('feed_sheet_lot',          'daily', NULL)
    ) AS rules (table_name, insert_act, update_act)
  LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', rule.table_name);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', rule.table_name);
    EXECUTE format('GRANT SELECT, INSERT ON %I TO rickyard_app', rule.table_name);
    EXECUTE format('CREATE POLICY %I ON %I FOR SELECT USING (' || within || ')', rule.table_name || '_read', rule.table_name, 'read');
    EXECUTE format('CREATE POLICY %I ON %I FOR INSERT WITH CHECK (' || within || ')', rule.table_name || '_insert', rule.table_name, rule.insert_act);
    IF rule.update_act IS NOT NULL THEN
      EXECUTE format('GRANT UPDATE ON %I TO rickyard_app', rule.table_name);
      EXECUTE format('CREATE POLICY %I ON %I FOR UPDATE USING (' || within || ') WITH CHECK (' || within || ')', rule.table_name || '_update', rule.table_name, rule.update_act, rule.update_act);
    END IF;
  END LOOP;
END $$;

-- The desk writes rations, the ranch accepts them and takes them in use: both change the one row, each only as the guard below allows.
GRANT UPDATE ON ration TO rickyard_app;
CREATE POLICY ration_update ON ration FOR UPDATE
  USING (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('desk') || rickyard.operations('records')))))
  WITH CHECK (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('desk') || rickyard.operations('records')))));

ALTER TABLE ration_note ENABLE ROW LEVEL SECURITY;
ALTER TABLE ration_note FORCE ROW LEVEL SECURITY;
GRANT SELECT, INSERT ON ration_note TO rickyard_app;
CREATE POLICY ration_note_read ON ration_note FOR SELECT USING (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('read')))));
CREATE POLICY ration_note_insert ON ration_note FOR INSERT WITH CHECK (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('desk') || rickyard.operations('records')))));

-- ───────── what was written stays ─────────
DO $$
DECLARE
  guarded text;
BEGIN
  FOREACH guarded IN ARRAY ARRAY['weather_day', 'water_check', 'ration_layer', 'ration_note', 'feed_sheet_confirmation', 'feed_sheet_lot'] LOOP
    EXECUTE format('CREATE TRIGGER %I BEFORE UPDATE OR DELETE ON %I FOR EACH ROW EXECUTE FUNCTION rickyard.refuse_change()', guarded || '_append_only', guarded);
    EXECUTE format('CREATE TRIGGER %I BEFORE TRUNCATE ON %I FOR EACH STATEMENT EXECUTE FUNCTION rickyard.refuse_change()', guarded || '_no_truncate', guarded);
  END LOOP;
END $$;

-- ───────── the review of a ration ─────────
-- What stands in a ration changes only while it is a draft; it goes draft -> proposed -> accepted, and from proposed back to draft.
-- Only the ranch accepts and takes in use. A herd has one ration in use on any day.
CREATE FUNCTION rickyard.guard_ration() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  ranch_may boolean := NEW.operation_id = ANY (rickyard.operations('records'));
  desk_may boolean := NEW.operation_id = ANY (rickyard.operations('desk'));
BEGIN
  IF NEW.herd_id <> OLD.herd_id OR NEW.id <> OLD.id OR NEW.operation_id <> OLD.operation_id OR NEW.created_by <> OLD.created_by OR NEW.created_at <> OLD.created_at THEN
    RAISE EXCEPTION 'a ration stays with its herd' USING ERRCODE = 'RY006';
  END IF;
  IF (NEW.name, NEW.basis, NEW.amount_kg, NEW.amount_value, NEW.amount_unit, NEW.amount_basis, NEW.bale_rounding, NEW.revision)
       IS DISTINCT FROM (OLD.name, OLD.basis, OLD.amount_kg, OLD.amount_value, OLD.amount_unit, OLD.amount_basis, OLD.bale_rounding, OLD.revision)
     OR (NEW.wasted_percent, NEW.template_key, NEW.note) IS DISTINCT FROM (OLD.wasted_percent, OLD.template_key, OLD.note) THEN
    IF OLD.state <> 'draft' OR NOT desk_may THEN
      RAISE EXCEPTION 'only the desk changes a ration, and only while it is a draft' USING ERRCODE = 'RY006';
    END IF;
  END IF;
  IF NEW.state <> OLD.state AND NOT (
       (OLD.state = 'draft' AND NEW.state = 'proposed' AND desk_may)
    OR (OLD.state = 'proposed' AND NEW.state = 'draft' AND (desk_may OR ranch_may))
    OR (OLD.state = 'proposed' AND NEW.state = 'accepted' AND ranch_may)) THEN
    RAISE EXCEPTION 'a ration cannot go from % to % here', OLD.state, NEW.state USING ERRCODE = 'RY006';
  END IF;
  IF (NEW.in_use_from, NEW.in_use_until) IS DISTINCT FROM (OLD.in_use_from, OLD.in_use_until) THEN
    IF NEW.state <> 'accepted' OR NOT ranch_may THEN
      RAISE EXCEPTION 'only the ranch takes a ration in use, and only an accepted one' USING ERRCODE = 'RY006';
    END IF;
    PERFORM pg_advisory_xact_lock(hashtextextended(NEW.herd_id::text, 730));
    PERFORM 1 FROM ration r
      WHERE r.operation_id = NEW.operation_id AND r.herd_id = NEW.herd_id AND r.id <> NEW.id AND r.in_use_from IS NOT NULL
        AND daterange(r.in_use_from, r.in_use_until) && daterange(NEW.in_use_from, NEW.in_use_until);
    IF FOUND THEN
      RAISE EXCEPTION 'another ration of the herd is in use on some of these days' USING ERRCODE = 'RY006';
    END IF;
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER ration_guard BEFORE UPDATE ON ration FOR EACH ROW EXECUTE FUNCTION rickyard.guard_ration();

-- A ration begins as a draft.
CREATE FUNCTION rickyard.guard_new_ration() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF NEW.state <> 'draft' OR NEW.in_use_from IS NOT NULL OR NEW.accepted_at IS NOT NULL THEN
    RAISE EXCEPTION 'a ration begins as a draft' USING ERRCODE = 'RY006';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER ration_begins BEFORE INSERT ON ration FOR EACH ROW EXECUTE FUNCTION rickyard.guard_new_ration();

CREATE FUNCTION rickyard.guard_ration_layer() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  PERFORM 1 FROM ration r WHERE r.operation_id = NEW.operation_id AND r.id = NEW.ration_id AND r.state = 'draft' AND r.revision = NEW.revision;
  IF NOT FOUND THEN
    RAISE EXCEPTION 'layers are written only into the present revision of a draft' USING ERRCODE = 'RY006';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER ration_layer_draft BEFORE INSERT ON ration_layer FOR EACH ROW EXECUTE FUNCTION rickyard.guard_ration_layer();

-- ───────── a sheet is fed once ─────────
CREATE FUNCTION rickyard.guard_feed_sheet() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  PERFORM pg_advisory_xact_lock(hashtextextended(NEW.herd_id::text || NEW.happened_on::text, 731));
  PERFORM 1 FROM feed_sheet_confirmation c
    LEFT JOIN reversal r ON r.operation_id = c.operation_id AND r.subject_id = c.feeding_id
    WHERE c.operation_id = NEW.operation_id AND c.herd_id = NEW.herd_id AND c.happened_on = NEW.happened_on AND r.id IS NULL;
  IF FOUND THEN
    RAISE EXCEPTION 'this sheet was confirmed before' USING ERRCODE = 'RY006';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER feed_sheet_once BEFORE INSERT ON feed_sheet_confirmation FOR EACH ROW EXECUTE FUNCTION rickyard.guard_feed_sheet();

-- ───────── words and ranges ─────────
ALTER TABLE weather_day
  ADD CONSTRAINT weather_day_units CHECK (temperature_unit IN ('F', 'C') AND (wind_unit IS NULL OR wind_unit IN ('mph', 'km/h')) AND (mud_unit IS NULL OR mud_unit IN ('in', 'cm'))),
  ADD CONSTRAINT weather_day_ranges CHECK (temperature_c BETWEEN -70 AND 60 AND (wind_km_h IS NULL OR wind_km_h BETWEEN 0 AND 300) AND (mud_cm IS NULL OR mud_cm BETWEEN 0 AND 100));
ALTER TABLE water_check
  ADD CONSTRAINT water_check_state CHECK (state IN ('open', 'partly-frozen', 'frozen')),
  ADD CONSTRAINT water_check_amounts CHECK (
    (flow_litres_a_minute IS NULL OR flow_litres_a_minute >= 0) AND (tank_litres IS NULL OR tank_litres >= 0)
    AND (dissolved_solids IS NULL OR dissolved_solids >= 0) AND (sulfate IS NULL OR sulfate >= 0));
ALTER TABLE ration
  ADD CONSTRAINT ration_state CHECK (state IN ('draft', 'proposed', 'accepted')),
  ADD CONSTRAINT ration_basis CHECK (basis IN ('volume', 'as-fed', 'dry-matter') AND amount_basis IN ('as-fed', 'dry-matter')),
  ADD CONSTRAINT ration_amount CHECK (amount_kg > 0),
  ADD CONSTRAINT ration_rounding CHECK (bale_rounding IN ('open-enough', 'nearest-whole')),
  ADD CONSTRAINT ration_waste CHECK (wasted_percent IS NULL OR (wasted_percent >= 0 AND wasted_percent < 100)),
  ADD CONSTRAINT ration_use CHECK (in_use_until IS NULL OR (in_use_from IS NOT NULL AND in_use_until >= in_use_from)),
  ADD CONSTRAINT ration_used_when_accepted CHECK (in_use_from IS NULL OR state = 'accepted');
ALTER TABLE ration_layer
  ADD CONSTRAINT ration_layer_role CHECK (role IN ('coarse', 'rich', 'mixed')),
  ADD CONSTRAINT ration_layer_share CHECK (share_percent > 0 AND share_percent <= 100),
  ADD CONSTRAINT ration_layer_density CHECK (density_kg_m3 IS NULL OR density_kg_m3 > 0);
ALTER TABLE ration_note ADD CONSTRAINT ration_note_kind CHECK (kind IN ('note', 'proposed', 'returned', 'accepted', 'in-use', 'ended'));
ALTER TABLE layer_template ADD CONSTRAINT layer_template_basis CHECK (basis IN ('volume', 'as-fed', 'dry-matter'));
