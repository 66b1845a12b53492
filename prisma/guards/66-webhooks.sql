-- What webhooks are told of is taken from the audit's chain, the one place through which every closing, reopening and
-- correction goes: a line that is one becomes a delivery for each webhook that asked for it, and a job that delivers
-- it, in the transaction that writes the line. So what commits is told, and what is rolled back never was.

-- The jobs of the library that delivers (platform/jobs). It has a schema of its own, which `migrate` makes before the
-- guards are applied; its rows name operations and webhooks by their ids and say nothing else.
GRANT USAGE ON SCHEMA rickyard_jobs TO rickyard_app;
GRANT SELECT ON rickyard_jobs.version, rickyard_jobs.queue TO rickyard_app;
GRANT SELECT, INSERT, UPDATE, DELETE ON rickyard_jobs.job TO rickyard_app;
GRANT SELECT, INSERT, DELETE ON rickyard_jobs.archive TO rickyard_app;
-- Its functions make and drop tables.
REVOKE EXECUTE ON ALL FUNCTIONS IN SCHEMA rickyard_jobs FROM PUBLIC;

-- A job as the library would add it, under its queue's own terms. In a slot of so many seconds one of a key is enough.
CREATE OR REPLACE FUNCTION rickyard.add_job(
  queue_name text, content jsonb, key text DEFAULT NULL, slot_seconds int DEFAULT NULL, after interval DEFAULT '0'
)
RETURNS void LANGUAGE sql AS $$
  INSERT INTO rickyard_jobs.job (name, data, start_after, singleton_key, singleton_on, expire_in, keep_until,
    retry_limit, retry_delay, retry_backoff, policy)
  SELECT q.name, content, now() + after, key,
         'epoch'::timestamp + '1 second'::interval * (slot_seconds * floor(date_part('epoch', now()) / slot_seconds)),
         COALESCE(q.expire_seconds, 900) * interval '1 second',
         now() + after + COALESCE(q.retention_minutes, 20160) * interval '1 minute',
         COALESCE(q.retry_limit, 2), COALESCE(q.retry_delay, 0), COALESCE(q.retry_backoff, false), q.policy
    FROM rickyard_jobs.queue q WHERE q.name = queue_name
  ON CONFLICT DO NOTHING
$$;

-- What an action of the audit is to whoever listens; null: nothing. What a file took back is told line by line, and
-- events of trials are no part of /changes.
CREATE OR REPLACE FUNCTION rickyard.happening_of(action text) RETURNS text LANGUAGE sql IMMUTABLE AS $$
  SELECT CASE
    WHEN action = 'books.close' THEN 'books.closed'
    WHEN action = 'books.reopen' THEN 'books.reopened'
    WHEN action = 'late-cost.create' THEN 'late_cost.entered'
    WHEN action LIKE '%.reverse' AND action NOT IN ('import.reverse', 'trial-event.reverse') THEN 'entries.corrected'
  END
$$;

-- Does hay go out, or turn out not to be there? Then the hay budget may read otherwise.
CREATE OR REPLACE FUNCTION rickyard.takes_hay(action text) RETURNS boolean LANGUAGE sql IMMUTABLE AS $$
  SELECT action IN ('feeding.create', 'hay-sale.create', 'storage-shrink.create', 'stock-count.create',
    'hay-purchase.reverse', 'harvest.reverse')
$$;

-- An owner at that moment, confirmed. Sees memberships only within what runs as the schema's owner.
CREATE OR REPLACE FUNCTION rickyard.owns(the_operation uuid, the_person uuid, the_moment timestamptz)
RETURNS boolean LANGUAGE sql STABLE AS $$
  SELECT EXISTS (
    SELECT 1 FROM membership m JOIN rickyard.role_acts() AS grants ON grants.role = m.role AND grants.act = 'own'
     WHERE m.operation_id = the_operation AND m.person_id = the_person AND m.confirmed_at IS NOT NULL
       AND m.from_at <= the_moment AND (m.until_at IS NULL OR m.until_at > the_moment))
$$;

-- Whether the owner who answers for a webhook of the operation that is being delivered for still is one.
CREATE OR REPLACE FUNCTION rickyard.still_owns(the_operation uuid, the_person uuid, the_moment timestamptz)
RETURNS boolean LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
  answer boolean;
BEGIN
  IF the_operation IS DISTINCT FROM rickyard.setting('delivering')::uuid
    AND NOT the_operation = ANY (rickyard.operations('office')) THEN
    RETURN false;
  END IF;
  PERFORM set_config('rickyard.telling_webhooks', 'yes', true);
  answer := rickyard.owns(the_operation, the_person, the_moment);
  PERFORM set_config('rickyard.telling_webhooks', '', true);
  RETURN answer;
END $$;

-- Lines of one kind that one transaction writes are one message: a file that is taken back is told once.
CREATE OR REPLACE FUNCTION rickyard.tell_webhooks() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
  happening text := rickyard.happening_of(NEW.action);
  the_moment timestamptz := COALESCE(rickyard.setting('moment')::timestamptz, now());
  told text;
  the_message uuid;
  hook record;
BEGIN
  PERFORM set_config('rickyard.telling_webhooks', 'yes', true);
  IF happening IS NULL AND NEW.action LIKE '%.create' AND EXISTS (SELECT 1 FROM entry_correction c
    WHERE c.operation_id = NEW.operation_id AND c.subject_id = NEW.subject_id) THEN
    happening := 'entries.corrected';
  END IF;
  told := 'told_' || replace(happening, '.', '_');
  IF happening IS NOT NULL AND split_part(rickyard.setting(told), ':', 1) = NEW.operation_id::text THEN
    UPDATE webhook_delivery d
       SET about = d.about || jsonb_build_object('last', NEW.sequence, 'records', (d.about->>'records')::int + 1)
         || CASE WHEN jsonb_array_length(d.about->'subjects') < 20 THEN jsonb_build_object('subjects',
              d.about->'subjects' || jsonb_build_object('kind', NEW.subject_kind, 'id', NEW.subject_id))
            ELSE '{}' END
     WHERE d.operation_id = NEW.operation_id AND d.message = split_part(rickyard.setting(told), ':', 2)::uuid;
  ELSIF happening IS NOT NULL THEN
    the_message := gen_random_uuid();
    FOR hook IN
      SELECT w.id FROM webhook w
       WHERE w.operation_id = NEW.operation_id AND w.state <> 'ended' AND happening = ANY (w.kinds)
         AND rickyard.owns(w.operation_id, w.answered_by, the_moment)
    LOOP
      INSERT INTO webhook_delivery (operation_id, id, webhook_id, message, kind, happened_at, about, state, created_at,
        next_try_at)
      VALUES (NEW.operation_id, gen_random_uuid(), hook.id, the_message, happening, NEW.recorded_at,
        jsonb_build_object('first', NEW.sequence, 'last', NEW.sequence, 'records', 1, 'subjects',
          jsonb_build_array(jsonb_build_object('kind', NEW.subject_kind, 'id', NEW.subject_id))),
        'waiting', the_moment, the_moment);
      PERFORM rickyard.add_job('webhook-deliveries',
        jsonb_build_object('operationId', NEW.operation_id, 'webhookId', hook.id));
      PERFORM set_config('rickyard.' || told, NEW.operation_id || ':' || the_message, true);
    END LOOP;
  END IF;
  -- Judged once, ten minutes later at the most, however many entries there are meanwhile.
  IF rickyard.takes_hay(NEW.action) AND EXISTS (SELECT 1 FROM webhook w WHERE w.operation_id = NEW.operation_id
    AND w.state = 'active' AND 'hay.low' = ANY (w.kinds)) THEN
    PERFORM rickyard.add_job('low-hay', jsonb_build_object('operationId', NEW.operation_id), NEW.operation_id::text,
      600, '10 minutes');
  END IF;
  PERFORM set_config('rickyard.telling_webhooks', '', true);
  RETURN NULL;
END $$;
CREATE TRIGGER audit_entry_told AFTER INSERT ON audit_entry FOR EACH ROW
  WHEN (rickyard.happening_of(NEW.action) IS NOT NULL OR rickyard.takes_hay(NEW.action)
    OR rickyard.setting('correcting') = 'yes')
  EXECUTE FUNCTION rickyard.tell_webhooks();

-- An entry that stands in for one that was reversed earlier, as in the period before, is a correction too: from
-- here on this transaction's lines are looked at for it.
CREATE OR REPLACE FUNCTION rickyard.note_correcting() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  PERFORM set_config('rickyard.correcting', 'yes', true);
  RETURN NULL;
END $$;
CREATE TRIGGER entry_correction_told AFTER INSERT ON entry_correction FOR EACH STATEMENT
  EXECUTE FUNCTION rickyard.note_correcting();
