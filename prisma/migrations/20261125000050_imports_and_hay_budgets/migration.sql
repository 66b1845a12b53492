-- Files taken in, which record came from which row, and plans for the winter's hay.

CREATE TABLE "data_import" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "kind" TEXT NOT NULL,
    "file_sha256" TEXT NOT NULL,
    "state" TEXT NOT NULL,
    "row_count" INTEGER NOT NULL,
    "rows_done" INTEGER NOT NULL,
    "record_count" INTEGER NOT NULL,
    "started_at" TIMESTAMPTZ(6) NOT NULL,
    "moved_at" TIMESTAMPTZ(6) NOT NULL,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "data_import_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE TABLE "data_import_record" (
    "operation_id" UUID NOT NULL,
    "data_import_id" UUID NOT NULL,
    "row_number" INTEGER NOT NULL,
    "subject_kind" TEXT NOT NULL,
    "subject_id" UUID NOT NULL,

    CONSTRAINT "data_import_record_pkey" PRIMARY KEY ("operation_id", "data_import_id", "row_number")
);

CREATE TABLE "hay_budget_plan" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "name" TEXT NOT NULL,
    "from_on" DATE NOT NULL,
    "until_on" DATE NOT NULL,
    "plan" JSONB NOT NULL,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "hay_budget_plan_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE TABLE "hay_budget_plan_price" (
    "operation_id" UUID NOT NULL,
    "hay_budget_plan_id" UUID NOT NULL,
    "hay_kind" TEXT NOT NULL,
    "price_value" TEXT NOT NULL,
    "price_unit" TEXT NOT NULL,
    "currency" TEXT NOT NULL,

    CONSTRAINT "hay_budget_plan_price_pkey" PRIMARY KEY ("operation_id", "hay_budget_plan_id", "hay_kind")
);

CREATE INDEX "data_import_operation_id_kind_file_sha256_idx" ON "data_import"("operation_id", "kind", "file_sha256");
CREATE INDEX "data_import_record_operation_id_subject_id_idx" ON "data_import_record"("operation_id", "subject_id");

ALTER TABLE "data_import" ADD CONSTRAINT "data_import_operation_id_fkey" FOREIGN KEY ("operation_id") REFERENCES "operation"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "data_import" ADD CONSTRAINT "data_import_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "data_import_record" ADD CONSTRAINT "data_import_record_operation_id_data_import_id_fkey" FOREIGN KEY ("operation_id", "data_import_id") REFERENCES "data_import"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "hay_budget_plan" ADD CONSTRAINT "hay_budget_plan_operation_id_fkey" FOREIGN KEY ("operation_id") REFERENCES "operation"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "hay_budget_plan" ADD CONSTRAINT "hay_budget_plan_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "hay_budget_plan_price" ADD CONSTRAINT "hay_budget_plan_price_operation_id_hay_budget_plan_id_fkey" FOREIGN KEY ("operation_id", "hay_budget_plan_id") REFERENCES "hay_budget_plan"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

DO $$
DECLARE
  rule record;
  within text := '%I = ANY (ARRAY(SELECT unnest(rickyard.operations(%L))))';
BEGIN
  FOR rule IN
    SELECT * FROM (VALUES
      -- table,                   read,     insert,    update
      ('data_import',             'read',   'daily',   'daily'),
      ('data_import_record',      'read',   'daily',   NULL),
      ('hay_budget_plan',         'read',   'records', NULL),
      ('hay_budget_plan_price',   'prices', 'records', NULL)
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
    END IF;
  END LOOP;
END $$;

-- The progress of an import moves until it has ended; what has ended stays as it ended.
CREATE FUNCTION rickyard.keep_ended_import() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION 'an import that has ended stays as it ended' USING ERRCODE = 'RY002';
END $$;
CREATE TRIGGER data_import_ended BEFORE UPDATE ON data_import FOR EACH ROW WHEN (OLD.state <> 'running') EXECUTE FUNCTION rickyard.keep_ended_import();
CREATE TRIGGER data_import_no_delete BEFORE DELETE ON data_import FOR EACH ROW EXECUTE FUNCTION rickyard.refuse_change();
CREATE TRIGGER data_import_no_truncate BEFORE TRUNCATE ON data_import FOR EACH STATEMENT EXECUTE FUNCTION rickyard.refuse_change();

DO $$
DECLARE
  guarded text;
BEGIN
  FOREACH guarded IN ARRAY ARRAY['data_import_record', 'hay_budget_plan', 'hay_budget_plan_price'] LOOP
    EXECUTE format('CREATE TRIGGER %I BEFORE UPDATE OR DELETE ON %I FOR EACH ROW EXECUTE FUNCTION rickyard.refuse_change()', guarded || '_append_only', guarded);
    EXECUTE format('CREATE TRIGGER %I BEFORE TRUNCATE ON %I FOR EACH STATEMENT EXECUTE FUNCTION rickyard.refuse_change()', guarded || '_no_truncate', guarded);
  END LOOP;
END $$;

-- One import of one file: two requests with the same file wait for each other here.
CREATE UNIQUE INDEX data_import_once ON data_import (operation_id, kind, file_sha256) WHERE state = 'done';

ALTER TABLE data_import
  ADD CONSTRAINT data_import_state CHECK (state IN ('running', 'done', 'refused', 'broken-off')),
  ADD CONSTRAINT data_import_kind CHECK (kind IN ('hay-tickets', 'lab-tests', 'feedings', 'animal-weights', 'group-weights', 'head-changes', 'icar-weights')),
  ADD CONSTRAINT data_import_hash CHECK (file_sha256 ~ '^[0-9a-f]{64}$'),
  ADD CONSTRAINT data_import_counts CHECK (row_count >= 0 AND rows_done BETWEEN 0 AND row_count AND record_count >= 0);
ALTER TABLE hay_budget_plan ADD CONSTRAINT hay_budget_plan_span CHECK (until_on >= from_on);
