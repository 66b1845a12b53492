-- The hay books: own hay, sales, transfers, counts, storage loss, late bills, offers, accounts and closing.

CREATE TABLE "harvest" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "hay_lot_id" UUID NOT NULL,
    "field" TEXT,
    "happened_on" DATE NOT NULL,
    "bale_count" INTEGER,
    "weight_basis" TEXT NOT NULL,
    "weight_kg" DECIMAL(24,12) NOT NULL,
    "weight_value" TEXT NOT NULL,
    "weight_unit" TEXT NOT NULL,
    "bale_weight_value" TEXT,
    "bale_weight_unit" TEXT,
    "bales_weighed" INTEGER,
    "bale_weight_sd" TEXT,
    "moisture_pct" DECIMAL(6,3),
    "note" TEXT,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "harvest_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE TABLE "harvest_cost" (
    "operation_id" UUID NOT NULL,
    "harvest_id" UUID NOT NULL,
    "basis" TEXT NOT NULL,
    "price_value" TEXT NOT NULL,
    "price_unit" TEXT NOT NULL,
    "amount" DECIMAL(18,2) NOT NULL,
    "currency" TEXT NOT NULL,

    CONSTRAINT "harvest_cost_pkey" PRIMARY KEY ("operation_id", "harvest_id")
);

CREATE TABLE "hay_sale" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "hay_lot_id" UUID NOT NULL,
    "buyer" TEXT NOT NULL,
    "happened_on" DATE NOT NULL,
    "bale_count" DECIMAL(12,3),
    "weight_kg" DECIMAL(24,12) NOT NULL,
    "weight_value" TEXT NOT NULL,
    "weight_unit" TEXT NOT NULL,
    "note" TEXT,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "hay_sale_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE TABLE "hay_sale_price" (
    "operation_id" UUID NOT NULL,
    "hay_sale_id" UUID NOT NULL,
    "basis" TEXT NOT NULL,
    "price_value" TEXT NOT NULL,
    "price_unit" TEXT NOT NULL,
    "proceeds_amount" DECIMAL(18,2) NOT NULL,
    "currency" TEXT NOT NULL,

    CONSTRAINT "hay_sale_price_pkey" PRIMARY KEY ("operation_id", "hay_sale_id")
);

CREATE TABLE "hay_transfer" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "from_lot_id" UUID NOT NULL,
    "to_lot_id" UUID NOT NULL,
    "happened_on" DATE NOT NULL,
    "happened_at" TIMESTAMPTZ(6),
    "bale_count" DECIMAL(12,3),
    "weight_kg" DECIMAL(24,12) NOT NULL,
    "weight_value" TEXT NOT NULL,
    "weight_unit" TEXT NOT NULL,
    "note" TEXT,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "hay_transfer_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE TABLE "stock_count" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "hay_lot_id" UUID NOT NULL,
    "happened_on" DATE NOT NULL,
    "counted_at" TIMESTAMPTZ(6) NOT NULL,
    "counted_kg" DECIMAL(24,12) NOT NULL,
    "counted_value" TEXT NOT NULL,
    "counted_unit" TEXT NOT NULL,
    "book_kg" DECIMAL(24,12) NOT NULL,
    "treatment" TEXT NOT NULL,
    "reason" TEXT NOT NULL,
    "draw_kind" TEXT,
    "draw_id" UUID,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "stock_count_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE TABLE "storage_shrink" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "hay_lot_id" UUID NOT NULL,
    "happened_on" DATE NOT NULL,
    "basis" TEXT NOT NULL,
    "weight_kg" DECIMAL(24,12) NOT NULL,
    "weight_value" TEXT NOT NULL,
    "weight_unit" TEXT NOT NULL,
    "treatment" TEXT NOT NULL,
    "from_on" DATE,
    "season_share" DECIMAL(8,6),
    "figure" TEXT,
    "source" TEXT,
    "reason" TEXT,
    "note" TEXT,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "storage_shrink_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE TABLE "storage_measurement" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "ranch_id" UUID,
    "storage_method" TEXT NOT NULL,
    "happened_on" DATE NOT NULL,
    "season_share" DECIMAL(8,6) NOT NULL,
    "how" TEXT NOT NULL,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "storage_measurement_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE TABLE "late_cost" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "receipt_kind" TEXT NOT NULL,
    "receipt_id" UUID NOT NULL,
    "stock_movement_id" UUID NOT NULL,
    "hay_lot_id" UUID NOT NULL,
    "happened_on" DATE NOT NULL,
    "owed" TEXT NOT NULL,
    "biller" TEXT NOT NULL,
    "note" TEXT,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "late_cost_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE TABLE "hay_quote" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "vendor" TEXT NOT NULL,
    "happened_on" DATE NOT NULL,
    "valid_until" DATE,
    "name" TEXT NOT NULL,
    "category" TEXT NOT NULL,
    "hay_kind" TEXT NOT NULL,
    "cutting" INTEGER,
    "harvested_on" DATE,
    "bale_form" TEXT NOT NULL,
    "bale_count" INTEGER,
    "weight_kg" DECIMAL(24,12) NOT NULL,
    "weight_value" TEXT NOT NULL,
    "weight_unit" TEXT NOT NULL,
    "note" TEXT,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "hay_quote_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE TABLE "hay_quote_price" (
    "operation_id" UUID NOT NULL,
    "hay_quote_id" UUID NOT NULL,
    "basis" TEXT NOT NULL,
    "price_value" TEXT NOT NULL,
    "price_unit" TEXT NOT NULL,
    "hay_amount" DECIMAL(18,2) NOT NULL,
    "freight_amount" DECIMAL(18,2) NOT NULL,
    "charges_amount" DECIMAL(18,2) NOT NULL,
    "currency" TEXT NOT NULL,

    CONSTRAINT "hay_quote_price_pkey" PRIMARY KEY ("operation_id", "hay_quote_id")
);

CREATE TABLE "hay_quote_purchase" (
    "operation_id" UUID NOT NULL,
    "hay_quote_id" UUID NOT NULL,
    "hay_purchase_id" UUID NOT NULL,

    CONSTRAINT "hay_quote_purchase_pkey" PRIMARY KEY ("operation_id", "hay_quote_id", "hay_purchase_id")
);

CREATE TABLE "account_map" (
    "operation_id" UUID NOT NULL,
    "accounts" JSONB NOT NULL,
    "version" INTEGER NOT NULL DEFAULT 1,
    "changed_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "account_map_pkey" PRIMARY KEY ("operation_id")
);

CREATE TABLE "book_closing" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "from_on" DATE NOT NULL,
    "until_on" DATE NOT NULL,
    "costing_method" TEXT NOT NULL,
    "note" TEXT,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "book_closing_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE TABLE "book_reopening" (
    "operation_id" UUID NOT NULL,
    "book_closing_id" UUID NOT NULL,
    "reason" TEXT NOT NULL,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "book_reopening_pkey" PRIMARY KEY ("operation_id", "book_closing_id")
);

CREATE TABLE "closed_report" (
    "operation_id" UUID NOT NULL,
    "book_closing_id" UUID NOT NULL,
    "name" TEXT NOT NULL,
    "units" TEXT NOT NULL,
    "body" TEXT NOT NULL,
    "sha256" TEXT NOT NULL,

    CONSTRAINT "closed_report_pkey" PRIMARY KEY ("operation_id", "book_closing_id", "name", "units")
);

CREATE TABLE "late_posting" (
    "operation_id" UUID NOT NULL,
    "subject_id" UUID NOT NULL,
    "subject_kind" TEXT NOT NULL,
    "told_on" DATE NOT NULL,
    "posted_on" DATE NOT NULL,
    "book_closing_id" UUID NOT NULL,
    "corrects_id" UUID,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "late_posting_pkey" PRIMARY KEY ("operation_id", "subject_id")
);

ALTER TABLE "hay_lot" ADD COLUMN "split_from_id" UUID;

CREATE INDEX "harvest_operation_id_happened_on_idx" ON "harvest" ("operation_id", "happened_on");
CREATE INDEX "hay_sale_operation_id_happened_on_idx" ON "hay_sale" ("operation_id", "happened_on");
CREATE INDEX "hay_transfer_operation_id_happened_on_idx" ON "hay_transfer" ("operation_id", "happened_on");
CREATE INDEX "hay_transfer_operation_id_to_lot_id_idx" ON "hay_transfer" ("operation_id", "to_lot_id");
CREATE INDEX "stock_count_operation_id_happened_on_idx" ON "stock_count" ("operation_id", "happened_on");
CREATE INDEX "storage_shrink_operation_id_happened_on_idx" ON "storage_shrink" ("operation_id", "happened_on");
CREATE INDEX "storage_shrink_operation_id_hay_lot_id_idx" ON "storage_shrink" ("operation_id", "hay_lot_id");
CREATE INDEX "late_cost_operation_id_receipt_id_idx" ON "late_cost" ("operation_id", "receipt_id");
CREATE INDEX "late_cost_operation_id_happened_on_idx" ON "late_cost" ("operation_id", "happened_on");
CREATE INDEX "hay_quote_operation_id_happened_on_idx" ON "hay_quote" ("operation_id", "happened_on");
CREATE INDEX "book_closing_operation_id_until_on_idx" ON "book_closing" ("operation_id", "until_on");

ALTER TABLE "harvest" ADD CONSTRAINT "harvest_operation_id_hay_lot_id_fkey" FOREIGN KEY ("operation_id", "hay_lot_id") REFERENCES "hay_lot" ("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "harvest" ADD CONSTRAINT "harvest_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person" ("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "harvest_cost" ADD CONSTRAINT "harvest_cost_operation_id_harvest_id_fkey" FOREIGN KEY ("operation_id", "harvest_id") REFERENCES "harvest" ("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "hay_sale" ADD CONSTRAINT "hay_sale_operation_id_hay_lot_id_fkey" FOREIGN KEY ("operation_id", "hay_lot_id") REFERENCES "hay_lot" ("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "hay_sale" ADD CONSTRAINT "hay_sale_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person" ("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "hay_sale_price" ADD CONSTRAINT "hay_sale_price_operation_id_hay_sale_id_fkey" FOREIGN KEY ("operation_id", "hay_sale_id") REFERENCES "hay_sale" ("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "hay_transfer" ADD CONSTRAINT "hay_transfer_operation_id_from_lot_id_fkey" FOREIGN KEY ("operation_id", "from_lot_id") REFERENCES "hay_lot" ("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "hay_transfer" ADD CONSTRAINT "hay_transfer_operation_id_to_lot_id_fkey" FOREIGN KEY ("operation_id", "to_lot_id") REFERENCES "hay_lot" ("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "hay_transfer" ADD CONSTRAINT "hay_transfer_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person" ("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "stock_count" ADD CONSTRAINT "stock_count_operation_id_hay_lot_id_fkey" FOREIGN KEY ("operation_id", "hay_lot_id") REFERENCES "hay_lot" ("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "stock_count" ADD CONSTRAINT "stock_count_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person" ("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "storage_shrink" ADD CONSTRAINT "storage_shrink_operation_id_hay_lot_id_fkey" FOREIGN KEY ("operation_id", "hay_lot_id") REFERENCES "hay_lot" ("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "storage_shrink" ADD CONSTRAINT "storage_shrink_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person" ("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "storage_measurement" ADD CONSTRAINT "storage_measurement_operation_id_fkey" FOREIGN KEY ("operation_id") REFERENCES "operation" ("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "storage_measurement" ADD CONSTRAINT "storage_measurement_operation_id_ranch_id_fkey" FOREIGN KEY ("operation_id", "ranch_id") REFERENCES "ranch" ("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "storage_measurement" ADD CONSTRAINT "storage_measurement_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person" ("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "late_cost" ADD CONSTRAINT "late_cost_operation_id_hay_lot_id_fkey" FOREIGN KEY ("operation_id", "hay_lot_id") REFERENCES "hay_lot" ("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "late_cost" ADD CONSTRAINT "late_cost_operation_id_stock_movement_id_fkey" FOREIGN KEY ("operation_id", "stock_movement_id") REFERENCES "stock_movement" ("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "late_cost" ADD CONSTRAINT "late_cost_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person" ("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "hay_quote" ADD CONSTRAINT "hay_quote_operation_id_fkey" FOREIGN KEY ("operation_id") REFERENCES "operation" ("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "hay_quote" ADD CONSTRAINT "hay_quote_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person" ("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "hay_quote_price" ADD CONSTRAINT "hay_quote_price_operation_id_hay_quote_id_fkey" FOREIGN KEY ("operation_id", "hay_quote_id") REFERENCES "hay_quote" ("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "hay_quote_purchase" ADD CONSTRAINT "hay_quote_purchase_operation_id_hay_quote_id_fkey" FOREIGN KEY ("operation_id", "hay_quote_id") REFERENCES "hay_quote" ("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "hay_quote_purchase" ADD CONSTRAINT "hay_quote_purchase_operation_id_hay_purchase_id_fkey" FOREIGN KEY ("operation_id", "hay_purchase_id") REFERENCES "hay_purchase" ("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "account_map" ADD CONSTRAINT "account_map_operation_id_fkey" FOREIGN KEY ("operation_id") REFERENCES "operation" ("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "book_closing" ADD CONSTRAINT "book_closing_operation_id_fkey" FOREIGN KEY ("operation_id") REFERENCES "operation" ("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "book_closing" ADD CONSTRAINT "book_closing_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person" ("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "book_reopening" ADD CONSTRAINT "book_reopening_operation_id_book_closing_id_fkey" FOREIGN KEY ("operation_id", "book_closing_id") REFERENCES "book_closing" ("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "book_reopening" ADD CONSTRAINT "book_reopening_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person" ("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "closed_report" ADD CONSTRAINT "closed_report_operation_id_book_closing_id_fkey" FOREIGN KEY ("operation_id", "book_closing_id") REFERENCES "book_closing" ("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "late_posting" ADD CONSTRAINT "late_posting_operation_id_book_closing_id_fkey" FOREIGN KEY ("operation_id", "book_closing_id") REFERENCES "book_closing" ("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "hay_lot" ADD CONSTRAINT "hay_lot_operation_id_split_from_id_fkey" FOREIGN KEY ("operation_id", "split_from_id") REFERENCES "hay_lot" ("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- ───────── who reads and writes ─────────
DO $$
DECLARE
  rule record;
  within text := '%I = ANY (ARRAY(SELECT unnest(rickyard.operations(%L))))';
BEGIN
  FOR rule IN
    SELECT * FROM (VALUES
      -- table,                read,     insert,    update
      ('harvest',              'read',   'records', NULL),
      ('harvest_cost',         'prices', 'records', NULL),
      ('hay_sale',             'read',   'records', NULL),
      ('hay_sale_price',       'prices', 'records', NULL),
      ('hay_transfer',         'read',   'records', NULL),
      ('stock_count',          'read',   'records', NULL),
      ('storage_shrink',       'read',   'records', NULL),
      ('storage_measurement',  'read',   'records', NULL),
      ('late_cost',            'read',   'records', NULL),
      ('hay_quote',            'read',   'records', NULL),
      ('hay_quote_price',      'prices', 'records', NULL),
      ('hay_quote_purchase',   'read',   'records', NULL),
      ('account_map',          'read',   'office',  'office'),
      ('book_closing',         'read',   'office',  NULL),
      ('book_reopening',       'read',   'office',  NULL),
      ('closed_report',        'prices', 'office',  NULL),
      ('late_posting',         'read',   'daily',   NULL)
    ) AS rules (table_name, read_act, insert_act, update_act)
  LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', rule.table_name);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', rule.table_name);
    EXECUTE format('GRANT SELECT, INSERT ON %I TO rickyard_app', rule.table_name);
    EXECUTE format('CREATE POLICY %I ON %I FOR SELECT USING (' || within || ')', rule.table_name || '_read', rule.table_name, 'operation_id', rule.read_act);
    EXECUTE format('CREATE POLICY %I ON %I FOR INSERT WITH CHECK (' || within || ')', rule.table_name || '_insert', rule.table_name, 'operation_id', rule.insert_act);
    IF rule.update_act IS NOT NULL THEN
      EXECUTE format('GRANT UPDATE ON %I TO rickyard_app', rule.table_name);
      EXECUTE format('CREATE POLICY %I ON %I FOR UPDATE USING (' || within || ') WITH CHECK (' || within || ')',
        rule.table_name || '_update', rule.table_name, 'operation_id', rule.update_act, 'operation_id', rule.update_act);
    ELSE
      -- What was written stays.
      EXECUTE format('CREATE TRIGGER %I BEFORE UPDATE OR DELETE ON %I FOR EACH ROW EXECUTE FUNCTION rickyard.refuse_change()', rule.table_name || '_append_only', rule.table_name);
      EXECUTE format('CREATE TRIGGER %I BEFORE TRUNCATE ON %I FOR EACH STATEMENT EXECUTE FUNCTION rickyard.refuse_change()', rule.table_name || '_no_truncate', rule.table_name);
    END IF;
  END LOOP;
END $$;

-- ───────── nothing is dated into a closed period ─────────
-- Entries share the operation's lock, closing takes it alone: an entry that began before a closing is in the closed reports or not at all.
CREATE FUNCTION rickyard.refuse_closed_day() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  the_day date;
  closing record;
BEGIN
  PERFORM pg_advisory_xact_lock_shared(hashtextextended(NEW.operation_id::text, 730));
  the_day := (to_jsonb(NEW) ->> TG_ARGV[0])::date;
  SELECT c.id, c.until_on INTO closing
    FROM book_closing c
   WHERE c.operation_id = NEW.operation_id
     AND NOT EXISTS (SELECT 1 FROM book_reopening r WHERE r.operation_id = c.operation_id AND r.book_closing_id = c.id)
   ORDER BY c.until_on DESC LIMIT 1;
  IF FOUND AND the_day <= closing.until_on THEN
    RAISE EXCEPTION 'the books are closed up to %', closing.until_on USING
      ERRCODE = 'RY005', DETAIL = json_build_object('on', the_day, 'closedUntil', closing.until_on, 'closingId', closing.id)::text;
  END IF;
  RETURN NEW;
END $$;

DO $$
DECLARE
  dated record;
BEGIN
  FOR dated IN
    SELECT * FROM (VALUES
      ('hay_purchase', 'happened_on'), ('harvest', 'happened_on'), ('hay_sale', 'happened_on'), ('hay_transfer', 'happened_on'), ('stock_count', 'happened_on'),
      ('storage_shrink', 'happened_on'), ('late_cost', 'happened_on'), ('feeding', 'happened_on'), ('head_change', 'happened_on'),
      ('stock_movement', 'effective_on'), ('stock_cost', 'effective_on'), ('yardage_rate', 'from_on')
    ) AS tables (table_name, day_column)
  LOOP
    EXECUTE format('CREATE TRIGGER %I BEFORE INSERT ON %I FOR EACH ROW EXECUTE FUNCTION rickyard.refuse_closed_day(%L)', dated.table_name || '_closed_day', dated.table_name, dated.day_column);
  END LOOP;
END $$;
-- Taking back a measurement (a weight, a lab test) is no entry in the books; taking back one of these is.
CREATE TRIGGER reversal_closed_day BEFORE INSERT ON reversal FOR EACH ROW
  WHEN (NEW.subject_kind IN ('hay-purchase', 'harvest', 'hay-sale', 'hay-transfer', 'stock-count', 'storage-shrink', 'late-cost', 'feeding', 'yardage-rate'))
  EXECUTE FUNCTION rickyard.refuse_closed_day('effective_on');

-- Closings follow one another without gap or overlap; only the last can be opened again, once.
CREATE FUNCTION rickyard.check_closing() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  last_closing record;
BEGIN
  PERFORM pg_advisory_xact_lock(hashtextextended(NEW.operation_id::text, 730));
  SELECT c.id, c.until_on INTO last_closing
    FROM book_closing c
   WHERE c.operation_id = NEW.operation_id
     AND NOT EXISTS (SELECT 1 FROM book_reopening r WHERE r.operation_id = c.operation_id AND r.book_closing_id = c.id)
   ORDER BY c.until_on DESC LIMIT 1;
  IF TG_TABLE_NAME = 'book_closing' THEN
    IF FOUND AND NEW.from_on <> last_closing.until_on + 1 THEN
      RAISE EXCEPTION 'a period begins on the day after the last closed one' USING ERRCODE = 'RY006';
    END IF;
  ELSIF NOT FOUND OR last_closing.id <> NEW.book_closing_id THEN
    RAISE EXCEPTION 'only the last closed period can be opened again' USING ERRCODE = 'RY006';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER book_closing_order BEFORE INSERT ON book_closing FOR EACH ROW EXECUTE FUNCTION rickyard.check_closing();
CREATE TRIGGER book_reopening_order BEFORE INSERT ON book_reopening FOR EACH ROW EXECUTE FUNCTION rickyard.check_closing();
GRANT EXECUTE ON ALL FUNCTIONS IN SCHEMA rickyard TO rickyard_app;

-- ───────── words and ranges ─────────
ALTER TABLE harvest
  ADD CONSTRAINT harvest_weight CHECK (weight_kg > 0),
  ADD CONSTRAINT harvest_moisture CHECK (moisture_pct IS NULL OR (moisture_pct >= 0 AND moisture_pct < 100));
ALTER TABLE harvest_cost ADD CONSTRAINT harvest_cost_amount CHECK (amount >= 0);
ALTER TABLE hay_sale ADD CONSTRAINT hay_sale_weight CHECK (weight_kg > 0);
ALTER TABLE hay_sale_price ADD CONSTRAINT hay_sale_price_amount CHECK (proceeds_amount >= 0);
ALTER TABLE hay_transfer ADD CONSTRAINT hay_transfer_weight CHECK (weight_kg > 0), ADD CONSTRAINT hay_transfer_elsewhere CHECK (from_lot_id <> to_lot_id);
ALTER TABLE stock_count
  ADD CONSTRAINT stock_count_weight CHECK (counted_kg >= 0),
  ADD CONSTRAINT stock_count_treatment CHECK (treatment IN ('into-unit-cost', 'expense')),
  ADD CONSTRAINT stock_count_draw CHECK ((draw_kind IS NULL) = (draw_id IS NULL));
ALTER TABLE storage_shrink
  ADD CONSTRAINT storage_shrink_weight CHECK (weight_kg > 0),
  ADD CONSTRAINT storage_shrink_basis CHECK (basis IN ('weighed', 'estimated')),
  ADD CONSTRAINT storage_shrink_treatment CHECK (treatment IN ('into-unit-cost', 'expense')),
  ADD CONSTRAINT storage_shrink_abnormal_has_reason CHECK (treatment = 'into-unit-cost' OR reason IS NOT NULL);
ALTER TABLE storage_measurement ADD CONSTRAINT storage_measurement_share CHECK (season_share >= 0 AND season_share < 1);
ALTER TABLE late_cost
  ADD CONSTRAINT late_cost_receipt CHECK (receipt_kind IN ('hay-purchase', 'harvest')),
  ADD CONSTRAINT late_cost_owed CHECK (owed IN ('freight', 'charges'));
ALTER TABLE hay_quote
  ADD CONSTRAINT hay_quote_weight CHECK (weight_kg > 0),
  ADD CONSTRAINT hay_quote_category CHECK (category IN ('hay', 'other')),
  ADD CONSTRAINT hay_quote_span CHECK (valid_until IS NULL OR valid_until >= happened_on);
ALTER TABLE hay_quote_price ADD CONSTRAINT hay_quote_price_amounts CHECK (hay_amount >= 0 AND freight_amount >= 0 AND charges_amount >= 0);
ALTER TABLE book_closing ADD CONSTRAINT book_closing_span CHECK (until_on >= from_on);
ALTER TABLE late_posting ADD CONSTRAINT late_posting_later CHECK (posted_on > told_on);
