-- The content of a ration changes only while it is a draft; it goes draft -> proposed -> accepted, and from proposed
-- back to draft. Only the ranch accepts it and puts it into use. A herd has one ration in use on any day.
CREATE OR REPLACE FUNCTION rickyard.guard_ration() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  ranch_may boolean := NEW.operation_id = ANY (rickyard.operations('records'));
  desk_may boolean := NEW.operation_id = ANY (rickyard.operations('desk'));
BEGIN
  IF NEW.herd_id <> OLD.herd_id OR NEW.id <> OLD.id OR NEW.operation_id <> OLD.operation_id
    OR NEW.created_by <> OLD.created_by OR NEW.created_at <> OLD.created_at THEN
    RAISE EXCEPTION 'a ration stays with its herd' USING ERRCODE = 'RY006';
  END IF;
  IF (NEW.name, NEW.basis, NEW.amount_kg, NEW.amount_value, NEW.amount_unit, NEW.amount_basis, NEW.bale_rounding,
    NEW.revision)
       IS DISTINCT FROM (OLD.name, OLD.basis, OLD.amount_kg, OLD.amount_value, OLD.amount_unit, OLD.amount_basis,
         OLD.bale_rounding, OLD.revision)
     OR (NEW.wasted_percent, NEW.template_key, NEW.note) IS DISTINCT
       FROM (OLD.wasted_percent, OLD.template_key, OLD.note) THEN
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
      WHERE r.operation_id = NEW.operation_id AND r.herd_id = NEW.herd_id AND r.id <> NEW.id
        AND r.in_use_from IS NOT NULL
        AND daterange(r.in_use_from, r.in_use_until) && daterange(NEW.in_use_from, NEW.in_use_until);
    IF FOUND THEN
      RAISE EXCEPTION 'another ration of the herd is in use on some of these days' USING ERRCODE = 'RY006';
    END IF;
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER ration_guard BEFORE UPDATE ON ration FOR EACH ROW EXECUTE FUNCTION rickyard.guard_ration();

CREATE OR REPLACE FUNCTION rickyard.guard_new_ration() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF NEW.state <> 'draft' OR NEW.in_use_from IS NOT NULL OR NEW.accepted_at IS NOT NULL THEN
    RAISE EXCEPTION 'a ration begins as a draft' USING ERRCODE = 'RY006';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER ration_begins BEFORE INSERT ON ration FOR EACH ROW EXECUTE FUNCTION rickyard.guard_new_ration();

CREATE OR REPLACE FUNCTION rickyard.guard_ration_layer() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  PERFORM 1 FROM ration r WHERE r.operation_id = NEW.operation_id AND r.id = NEW.ration_id AND r.state = 'draft'
    AND r.revision = NEW.revision;
  IF NOT FOUND THEN
    RAISE EXCEPTION 'layers are written only into the present revision of a draft' USING ERRCODE = 'RY006';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER ration_layer_draft BEFORE INSERT ON ration_layer FOR EACH ROW
  EXECUTE FUNCTION rickyard.guard_ration_layer();

-- A herd is fed from its sheet once a day, and not after it was fed without the sheet, unless the hand says that it is
-- a second feeding. Simultaneous feedings see each other: a feeding is entered in the audit before its sheet is
-- confirmed, and the audit takes one writer per operation at a time.
CREATE OR REPLACE FUNCTION rickyard.guard_feed_sheet() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  PERFORM pg_advisory_xact_lock(hashtextextended(NEW.herd_id::text || NEW.happened_on::text, 731));
  IF NEW.additional THEN
    RETURN NEW;
  END IF;
  PERFORM 1 FROM feed_sheet_confirmation c
    LEFT JOIN reversal r ON r.operation_id = c.operation_id AND r.subject_id = c.feeding_id
    WHERE c.operation_id = NEW.operation_id AND c.herd_id = NEW.herd_id AND c.happened_on = NEW.happened_on
      AND r.id IS NULL;
  IF FOUND THEN
    RAISE EXCEPTION 'This sheet was confirmed before.' USING ERRCODE = 'RY006';
  END IF;
  PERFORM 1 FROM feeding f
    LEFT JOIN reversal r ON r.operation_id = f.operation_id AND r.subject_id = f.id
    WHERE f.operation_id = NEW.operation_id AND f.herd_id = NEW.herd_id AND f.happened_on = NEW.happened_on
      AND f.id <> NEW.feeding_id AND r.id IS NULL;
  IF FOUND THEN
    RAISE EXCEPTION 'The herd was fed on that day already; read its sheet again.' USING ERRCODE = 'RY006';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER feed_sheet_once BEFORE INSERT ON feed_sheet_confirmation FOR EACH ROW
  EXECUTE FUNCTION rickyard.guard_feed_sheet();
