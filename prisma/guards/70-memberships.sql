-- The history of memberships, the last owner, and what a consultant may change of an engagement.

CREATE OR REPLACE FUNCTION rickyard.guard_membership() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF NEW.operation_id <> OLD.operation_id OR NEW.id <> OLD.id OR NEW.person_id <> OLD.person_id
    OR NEW.from_at <> OLD.from_at OR OLD.until_at <= rickyard.setting('moment')::timestamptz THEN
    RAISE EXCEPTION 'a membership keeps its person and its beginning, and one that ended stays ended'
      USING ERRCODE = 'RY051';
  END IF;
  -- Once, and by an owner: never by the one who waits.
  IF (NEW.confirmed_at IS DISTINCT FROM OLD.confirmed_at OR NEW.confirmed_by IS DISTINCT FROM OLD.confirmed_by)
    AND (OLD.confirmed_at IS NOT NULL OR NOT (OLD.operation_id = ANY (rickyard.operations('own')))
      OR NEW.confirmed_by IS DISTINCT FROM rickyard.person()) THEN
    RAISE EXCEPTION 'a membership is confirmed once, by an owner' USING ERRCODE = 'RY051';
  END IF;
  IF rickyard.person() = OLD.person_id AND NOT (OLD.operation_id = ANY (rickyard.operations('own')))
    AND (NEW.role <> OLD.role OR NEW.sees_prices <> OLD.sees_prices) THEN
    RAISE EXCEPTION 'nobody changes their own role' USING ERRCODE = 'RY051';
  END IF;
  -- Locked: two owners who leave at the same moment must not each count the other.
  PERFORM pg_advisory_xact_lock(hashtextextended(OLD.operation_id::text, 730));
  IF OLD.role = 'owner' AND OLD.until_at IS NULL AND OLD.confirmed_at IS NOT NULL
    AND (NEW.role <> 'owner' OR NEW.until_at IS NOT NULL) AND NOT EXISTS (
    SELECT 1 FROM membership m WHERE m.operation_id = OLD.operation_id AND m.id <> OLD.id AND m.role = 'owner'
      AND m.until_at IS NULL AND m.confirmed_at IS NOT NULL
      AND (rickyard.setting('moment') IS NULL OR m.from_at <= rickyard.setting('moment')::timestamptz)
  ) THEN
    RAISE EXCEPTION 'an operation keeps at least one owner whose membership has no end' USING ERRCODE = 'RY050';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER membership_guard BEFORE UPDATE ON membership FOR EACH ROW EXECUTE FUNCTION rickyard.guard_membership();

-- An owner confirms whom she saw: where what is shown of a person changes while they wait, the membership gets another
-- version, so that a confirmation of what was read before is refused. It waits for one that is under way.
CREATE OR REPLACE FUNCTION rickyard.tell_person_anew() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
  PERFORM set_config('rickyard.told_anew', NEW.id::text, true);
  UPDATE membership SET version = version + 1 WHERE person_id = NEW.id AND confirmed_at IS NULL
    AND (until_at IS NULL OR until_at > COALESCE(rickyard.setting('moment')::timestamptz, now()));
  PERFORM set_config('rickyard.told_anew', '', true);
  RETURN NULL;
END $$;
CREATE TRIGGER person_told_anew AFTER UPDATE ON person FOR EACH ROW
  WHEN ((OLD.name, OLD.email, OLD.email_proven_at, OLD.vouched_by_operation, OLD.vouched_by_name, OLD.vouched_at)
    IS DISTINCT FROM
    (NEW.name, NEW.email, NEW.email_proven_at, NEW.vouched_by_operation, NEW.vouched_by_name, NEW.vouched_at))
  EXECUTE FUNCTION rickyard.tell_person_anew();
-- For that function alone, which runs as the owner of the tables.
DO $$
BEGIN
  EXECUTE format('CREATE POLICY membership_told_anew ON membership TO %I '
    'USING (person_id = (SELECT rickyard.setting(''told_anew'')::uuid) AND confirmed_at IS NULL)', current_user);
END $$;

CREATE OR REPLACE FUNCTION rickyard.note_membership_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  -- What is told of the person is not the membership's history.
  IF TG_OP = 'UPDATE' AND to_jsonb(NEW) - 'version' = to_jsonb(OLD) - 'version' THEN RETURN NULL; END IF;
  INSERT INTO membership_change (operation_id, id, membership_id, person_id, what, role, sees_prices, from_at, until_at,
    version, changed_at, changed_by)
  VALUES (NEW.operation_id, gen_random_uuid(), NEW.id, NEW.person_id,
    CASE WHEN TG_OP = 'INSERT' THEN 'begun' WHEN NEW.until_at IS DISTINCT FROM OLD.until_at
      AND NEW.until_at <= COALESCE(rickyard.setting('moment')::timestamptz, now()) THEN 'ended' ELSE 'changed' END,
    NEW.role, NEW.sees_prices, NEW.from_at, NEW.until_at, NEW.version,
      COALESCE(rickyard.setting('moment')::timestamptz, now()), rickyard.person());
  RETURN NULL;
END $$;
CREATE TRIGGER membership_history AFTER INSERT OR UPDATE ON membership FOR EACH ROW
  EXECUTE FUNCTION rickyard.note_membership_change();

-- A consultant may answer and end an engagement; the owner decides what it grants.
CREATE OR REPLACE FUNCTION rickyard.guard_engagement() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF NOT (OLD.operation_id = ANY (rickyard.operations('own'))) AND rickyard.person() IS NOT NULL AND (
    NEW.operation_id <> OLD.operation_id OR NEW.sees_prices <> OLD.sees_prices OR NEW.after_end <> OLD.after_end
      OR NEW.until_at IS DISTINCT FROM OLD.until_at
    OR NEW.consultant_email <> OLD.consultant_email
    -- Accepted is what an owner has confirmed.
    OR NEW.state <> ALL (CASE OLD.state WHEN 'offered' THEN ARRAY['unconfirmed', 'declined']
      WHEN 'unconfirmed' THEN ARRAY['declined'] ELSE ARRAY['ended'] END)) THEN
    RAISE EXCEPTION 'a consultant answers or ends an engagement, and changes nothing else of it'
      USING ERRCODE = 'RY051';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER engagement_guard BEFORE UPDATE ON engagement FOR EACH ROW EXECUTE FUNCTION rickyard.guard_engagement();

-- An engagement that ends by its own date is settled (its consultant's copy taken, its state recorded) before anything
-- in the operation changes again. Whoever settles it sees which engagements are waiting (engagement_lapsed), and
-- nothing else of the operation.
CREATE OR REPLACE FUNCTION rickyard.has_lapsed(the_operation uuid) RETURNS boolean LANGUAGE plpgsql AS $$
DECLARE
  found_one boolean;
BEGIN
  PERFORM set_config('rickyard.settling', the_operation::text, true);
  SELECT EXISTS (SELECT 1 FROM engagement e WHERE e.operation_id = the_operation AND e.state = 'accepted'
    AND e.until_at <= rickyard.setting('moment')::timestamptz) INTO found_one;
  PERFORM set_config('rickyard.settling', '', true);
  RETURN found_one;
END $$;

-- Is this person, in any other operation, a member (also one who waits or has left), a consultant, invited, offered an
-- engagement, or offering themselves? Then no owner recovers the account. The transaction is the person's from here on.
CREATE OR REPLACE FUNCTION rickyard.stands_elsewhere(the_person uuid, the_operation uuid) RETURNS boolean
LANGUAGE plpgsql AS $$
DECLARE
  the_moment timestamptz := rickyard.setting('moment')::timestamptz;
  elsewhere boolean;
BEGIN
  PERFORM set_config('rickyard.person_id', the_person::text, true);
  PERFORM rickyard.know_own_email();
  PERFORM set_config('rickyard.recovering', 'yes', true);
  SELECT EXISTS (SELECT 1 FROM membership m WHERE m.person_id = the_person AND m.operation_id <> the_operation)
    OR EXISTS (SELECT 1 FROM engagement e WHERE e.operation_id <> the_operation AND (e.consultant_id = the_person
      OR (e.consultant_email = rickyard.setting('own_email') AND e.state = 'offered' AND e.expires_at > the_moment)))
    OR EXISTS (SELECT 1 FROM invitation i WHERE i.operation_id <> the_operation
      AND i.email = rickyard.setting('own_email') AND i.accepted_at IS NULL AND i.withdrawn_at IS NULL
      AND i.expires_at > the_moment)
    OR EXISTS (SELECT 1 FROM engagement_proposal p WHERE p.consultant_id = the_person AND p.state = 'open'
      AND p.expires_at > the_moment)
    INTO elsewhere;
  PERFORM set_config('rickyard.recovering', '', true);
  RETURN elsewhere;
END $$;
