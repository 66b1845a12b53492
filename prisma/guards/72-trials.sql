-- The plan of a trial is free while it is a draft. Once the trial has begun the plan no longer changes; only its state
-- moves on, never back.
CREATE OR REPLACE FUNCTION rickyard.freeze_trial() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF TG_OP = 'DELETE' THEN
    RAISE EXCEPTION 'a trial is closed, never deleted' USING ERRCODE = 'RY002';
  END IF;
  IF OLD.state <> 'draft' AND (
       (NEW.name, NEW.herd_id, NEW.plan, NEW.plan_answer, NEW.begins_on, NEW.begun_at, NEW.created_at, NEW.created_by)
         IS DISTINCT FROM (OLD.name, OLD.herd_id, OLD.plan, OLD.plan_answer, OLD.begins_on, OLD.begun_at,
           OLD.created_at, OLD.created_by)
       OR NEW.state = 'draft' OR (OLD.state = 'closed')) THEN
    RAISE EXCEPTION 'the plan of a trial that began is frozen' USING ERRCODE = 'RY002';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER trial_frozen BEFORE UPDATE OR DELETE ON trial FOR EACH ROW EXECUTE FUNCTION rickyard.freeze_trial();

CREATE OR REPLACE FUNCTION rickyard.freeze_trial_arms() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  arm trial_arm := CASE WHEN TG_OP = 'DELETE' THEN OLD ELSE NEW END;
BEGIN
  IF EXISTS (SELECT 1 FROM trial t WHERE t.operation_id = arm.operation_id AND t.id = arm.trial_id
    AND t.state <> 'draft') THEN
    RAISE EXCEPTION 'the arms of a trial that began are frozen' USING ERRCODE = 'RY002';
  END IF;
  RETURN arm;
END $$;
CREATE TRIGGER trial_arm_frozen BEFORE INSERT OR UPDATE OR DELETE ON trial_arm FOR EACH ROW
  EXECUTE FUNCTION rickyard.freeze_trial_arms();

CREATE OR REPLACE FUNCTION rickyard.freeze_trial_draws() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF EXISTS (SELECT 1 FROM trial t WHERE t.operation_id = NEW.operation_id AND t.id = NEW.trial_id
    AND t.state <> 'draft') THEN
    RAISE EXCEPTION 'the draw of a trial that began is frozen' USING ERRCODE = 'RY002';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER trial_draw_frozen BEFORE INSERT ON trial_draw FOR EACH ROW
  EXECUTE FUNCTION rickyard.freeze_trial_draws();
