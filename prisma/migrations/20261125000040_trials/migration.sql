-- Feeding trials: plan, arms, draw, herds, events, amendments, judgements.

CREATE TABLE "trial" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "name" TEXT NOT NULL,
    "herd_id" UUID NOT NULL,
    "state" TEXT NOT NULL,
    "plan" JSONB NOT NULL,
    "plan_answer" JSONB,
    "begins_on" DATE,
    "begun_at" TIMESTAMPTZ(6),
    "closed_on" DATE,
    "close_reason" TEXT,
    "version" INTEGER NOT NULL DEFAULT 1,
    "created_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "created_by" UUID NOT NULL,

    CONSTRAINT "trial_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE TABLE "trial_arm" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "trial_id" UUID NOT NULL,
    "position" INTEGER NOT NULL,
    "name" TEXT NOT NULL,
    "role" TEXT NOT NULL,
    "feeding" TEXT NOT NULL,

    CONSTRAINT "trial_arm_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE TABLE "trial_draw" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "trial_id" UUID NOT NULL,
    "number" INTEGER NOT NULL,
    "seed" TEXT NOT NULL,
    "generator" TEXT NOT NULL,
    "weigh_in_ids" UUID[],
    "reason" TEXT,
    "answer" JSONB NOT NULL,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "trial_draw_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE TABLE "trial_animal" (
    "operation_id" UUID NOT NULL,
    "trial_draw_id" UUID NOT NULL,
    "position" INTEGER NOT NULL,
    "arm_id" UUID NOT NULL,
    "pen" TEXT,
    "block" INTEGER NOT NULL,
    "visual_tag" TEXT,
    "electronic_id" TEXT,
    "start_kg" DECIMAL(24,12) NOT NULL,

    CONSTRAINT "trial_animal_pkey" PRIMARY KEY ("operation_id", "trial_draw_id", "position")
);

CREATE TABLE "trial_herd" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "trial_id" UUID NOT NULL,
    "arm_id" UUID NOT NULL,
    "pen" TEXT,
    "herd_id" UUID NOT NULL,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "trial_herd_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE TABLE "trial_event" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "trial_id" UUID NOT NULL,
    "trial_draw_id" UUID NOT NULL,
    "animal_position" INTEGER NOT NULL,
    "kind" TEXT NOT NULL,
    "happened_on" DATE NOT NULL,
    "note" TEXT,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "trial_event_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE TABLE "trial_amendment" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "trial_id" UUID NOT NULL,
    "number" INTEGER NOT NULL,
    "amended_on" DATE NOT NULL,
    "reason" TEXT NOT NULL,
    "changes" JSONB NOT NULL,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "trial_amendment_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE TABLE "trial_judgement" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "trial_id" UUID NOT NULL,
    "number" INTEGER NOT NULL,
    "as_of" DATE NOT NULL,
    "look" INTEGER NOT NULL,
    "final" BOOLEAN NOT NULL,
    "peeking" BOOLEAN NOT NULL,
    "verdict" TEXT NOT NULL,
    "data_hash" TEXT NOT NULL,
    "inputs_hash" TEXT NOT NULL,
    "inputs" JSONB NOT NULL,
    "result" JSONB NOT NULL,
    "recorded_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "recorded_by" UUID NOT NULL,

    CONSTRAINT "trial_judgement_pkey" PRIMARY KEY ("operation_id", "id")
);

CREATE TABLE "trial_judgement_money" (
    "operation_id" UUID NOT NULL,
    "trial_judgement_id" UUID NOT NULL,
    "inputs_hash" TEXT NOT NULL,
    "inputs" JSONB NOT NULL,
    "result" JSONB NOT NULL,

    CONSTRAINT "trial_judgement_money_pkey" PRIMARY KEY ("operation_id", "trial_judgement_id")
);

CREATE INDEX "trial_arm_operation_id_trial_id_idx" ON "trial_arm"("operation_id", "trial_id");
CREATE UNIQUE INDEX "trial_draw_operation_id_trial_id_number_key" ON "trial_draw"("operation_id", "trial_id", "number");
CREATE INDEX "trial_animal_operation_id_arm_id_idx" ON "trial_animal"("operation_id", "arm_id");
CREATE UNIQUE INDEX "trial_herd_operation_id_trial_id_herd_id_key" ON "trial_herd"("operation_id", "trial_id", "herd_id");
CREATE INDEX "trial_herd_operation_id_herd_id_idx" ON "trial_herd"("operation_id", "herd_id");
CREATE INDEX "trial_event_operation_id_trial_id_happened_on_idx" ON "trial_event"("operation_id", "trial_id", "happened_on");
CREATE UNIQUE INDEX "trial_amendment_operation_id_trial_id_number_key" ON "trial_amendment"("operation_id", "trial_id", "number");
CREATE UNIQUE INDEX "trial_judgement_operation_id_trial_id_number_key" ON "trial_judgement"("operation_id", "trial_id", "number");

ALTER TABLE "trial" ADD CONSTRAINT "trial_operation_id_fkey" FOREIGN KEY ("operation_id") REFERENCES "operation"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "trial" ADD CONSTRAINT "trial_operation_id_herd_id_fkey" FOREIGN KEY ("operation_id", "herd_id") REFERENCES "herd"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "trial" ADD CONSTRAINT "trial_created_by_fkey" FOREIGN KEY ("created_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "trial_arm" ADD CONSTRAINT "trial_arm_operation_id_trial_id_fkey" FOREIGN KEY ("operation_id", "trial_id") REFERENCES "trial"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "trial_draw" ADD CONSTRAINT "trial_draw_operation_id_trial_id_fkey" FOREIGN KEY ("operation_id", "trial_id") REFERENCES "trial"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "trial_draw" ADD CONSTRAINT "trial_draw_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "trial_animal" ADD CONSTRAINT "trial_animal_operation_id_trial_draw_id_fkey" FOREIGN KEY ("operation_id", "trial_draw_id") REFERENCES "trial_draw"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "trial_animal" ADD CONSTRAINT "trial_animal_operation_id_arm_id_fkey" FOREIGN KEY ("operation_id", "arm_id") REFERENCES "trial_arm"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "trial_herd" ADD CONSTRAINT "trial_herd_operation_id_trial_id_fkey" FOREIGN KEY ("operation_id", "trial_id") REFERENCES "trial"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "trial_herd" ADD CONSTRAINT "trial_herd_operation_id_arm_id_fkey" FOREIGN KEY ("operation_id", "arm_id") REFERENCES "trial_arm"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "trial_herd" ADD CONSTRAINT "trial_herd_operation_id_herd_id_fkey" FOREIGN KEY ("operation_id", "herd_id") REFERENCES "herd"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "trial_herd" ADD CONSTRAINT "trial_herd_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "trial_event" ADD CONSTRAINT "trial_event_operation_id_trial_id_fkey" FOREIGN KEY ("operation_id", "trial_id") REFERENCES "trial"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "trial_event" ADD CONSTRAINT "trial_event_operation_id_trial_draw_id_animal_position_fkey" FOREIGN KEY ("operation_id", "trial_draw_id", "animal_position") REFERENCES "trial_animal"("operation_id", "trial_draw_id", "position") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "trial_event" ADD CONSTRAINT "trial_event_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "trial_amendment" ADD CONSTRAINT "trial_amendment_operation_id_trial_id_fkey" FOREIGN KEY ("operation_id", "trial_id") REFERENCES "trial"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "trial_amendment" ADD CONSTRAINT "trial_amendment_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "trial_judgement" ADD CONSTRAINT "trial_judgement_operation_id_trial_id_fkey" FOREIGN KEY ("operation_id", "trial_id") REFERENCES "trial"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "trial_judgement" ADD CONSTRAINT "trial_judgement_recorded_by_fkey" FOREIGN KEY ("recorded_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;
ALTER TABLE "trial_judgement_money" ADD CONSTRAINT "trial_judgement_money_operation_id_trial_judgement_id_fkey" FOREIGN KEY ("operation_id", "trial_judgement_id") REFERENCES "trial_judgement"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- ───────── who may see and write ─────────
DO $$
DECLARE
  rule record;
  within text := '%I = ANY (ARRAY(SELECT unnest(rickyard.operations(%L))))';
BEGIN
  FOR rule IN
    SELECT * FROM (VALUES
      -- table,                  read,     insert,  update, delete
      ('trial',                  'read',   'desk',  'desk', NULL),
      ('trial_arm',              'read',   'desk',  'desk', 'desk'),
      ('trial_draw',             'read',   'desk',  NULL,   NULL),
      ('trial_animal',           'read',   'desk',  NULL,   NULL),
      ('trial_herd',             'read',   'desk',  NULL,   NULL),
      ('trial_event',            'read',   'daily', NULL,   NULL),
      ('trial_amendment',        'read',   'desk',  NULL,   NULL),
      ('trial_judgement',        'read',   'desk',  NULL,   NULL),
      ('trial_judgement_money',  'prices', 'desk',  NULL,   NULL)
    ) AS rules (table_name, read_act, insert_act, update_act, delete_act)
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
    IF rule.delete_act IS NOT NULL THEN
      EXECUTE format('GRANT DELETE ON %I TO rickyard_app', rule.table_name);
      EXECUTE format('CREATE POLICY %I ON %I FOR DELETE USING (' || within || ')', rule.table_name || '_delete', rule.table_name, 'operation_id', rule.delete_act);
    END IF;
  END LOOP;
END $$;

-- ───────── what was written stays ─────────
DO $$
DECLARE
  guarded text;
BEGIN
  FOREACH guarded IN ARRAY ARRAY['trial_draw', 'trial_animal', 'trial_herd', 'trial_event', 'trial_amendment', 'trial_judgement', 'trial_judgement_money'] LOOP
    EXECUTE format('CREATE TRIGGER %I BEFORE UPDATE OR DELETE ON %I FOR EACH ROW EXECUTE FUNCTION rickyard.refuse_change()', guarded || '_append_only', guarded);
    EXECUTE format('CREATE TRIGGER %I BEFORE TRUNCATE ON %I FOR EACH STATEMENT EXECUTE FUNCTION rickyard.refuse_change()', guarded || '_no_truncate', guarded);
  END LOOP;
END $$;

-- A plan is free while it is a draft. Once the trial began nothing of it changes any more; only its state goes on, and never back.
CREATE FUNCTION rickyard.freeze_trial() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF TG_OP = 'DELETE' THEN
    RAISE EXCEPTION 'a trial is closed, never deleted' USING ERRCODE = 'RY002';
  END IF;
  IF OLD.state <> 'draft' AND (
       (NEW.name, NEW.herd_id, NEW.plan, NEW.plan_answer, NEW.begins_on, NEW.begun_at, NEW.created_at, NEW.created_by)
         IS DISTINCT FROM (OLD.name, OLD.herd_id, OLD.plan, OLD.plan_answer, OLD.begins_on, OLD.begun_at, OLD.created_at, OLD.created_by)
       OR NEW.state = 'draft' OR (OLD.state = 'closed')) THEN
    RAISE EXCEPTION 'the plan of a trial that began is frozen' USING ERRCODE = 'RY002';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER trial_frozen BEFORE UPDATE OR DELETE ON trial FOR EACH ROW EXECUTE FUNCTION rickyard.freeze_trial();

CREATE FUNCTION rickyard.freeze_trial_arms() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  arm trial_arm := CASE WHEN TG_OP = 'DELETE' THEN OLD ELSE NEW END;
BEGIN
  IF EXISTS (SELECT 1 FROM trial t WHERE t.operation_id = arm.operation_id AND t.id = arm.trial_id AND t.state <> 'draft') THEN
    RAISE EXCEPTION 'the arms of a trial that began are frozen' USING ERRCODE = 'RY002';
  END IF;
  RETURN arm;
END $$;
CREATE TRIGGER trial_arm_frozen BEFORE INSERT OR UPDATE OR DELETE ON trial_arm FOR EACH ROW EXECUTE FUNCTION rickyard.freeze_trial_arms();

CREATE FUNCTION rickyard.freeze_trial_draws() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF EXISTS (SELECT 1 FROM trial t WHERE t.operation_id = NEW.operation_id AND t.id = NEW.trial_id AND t.state <> 'draft') THEN
    RAISE EXCEPTION 'the draw of a trial that began is frozen' USING ERRCODE = 'RY002';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER trial_draw_frozen BEFORE INSERT ON trial_draw FOR EACH ROW EXECUTE FUNCTION rickyard.freeze_trial_draws();

-- ───────── words and ranges ─────────
ALTER TABLE trial
  ADD CONSTRAINT trial_state CHECK (state IN ('draft', 'running', 'closed')),
  ADD CONSTRAINT trial_begun CHECK ((begins_on IS NULL) = (begun_at IS NULL) AND (state <> 'running' OR begins_on IS NOT NULL)),
  ADD CONSTRAINT trial_closed CHECK ((state = 'closed') = (closed_on IS NOT NULL) AND (closed_on IS NULL) = (close_reason IS NULL));
ALTER TABLE trial_arm ADD CONSTRAINT trial_arm_role CHECK (role IN ('usual', 'change'));
ALTER TABLE trial_draw
  ADD CONSTRAINT trial_draw_reason CHECK (number = 1 OR reason IS NOT NULL),
  ADD CONSTRAINT trial_draw_seed CHECK (seed ~ '^[0-9]{1,20}$');
ALTER TABLE trial_animal
  ADD CONSTRAINT trial_animal_named CHECK (visual_tag IS NOT NULL OR electronic_id IS NOT NULL),
  ADD CONSTRAINT trial_animal_weight CHECK (start_kg > 0);
ALTER TABLE trial_event ADD CONSTRAINT trial_event_kind CHECK (kind IN ('sick', 'treated', 'moved', 'wrong-feed', 'died', 'sold', 'lost'));
ALTER TABLE trial_judgement
  ADD CONSTRAINT trial_judgement_numbers CHECK (number >= 1 AND look >= 1 AND look <= number),
  ADD CONSTRAINT trial_judgement_hashes CHECK (data_hash ~ '^[0-9a-f]{64}$' AND inputs_hash ~ '^[0-9a-f]{64}$');
