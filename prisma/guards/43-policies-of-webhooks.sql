-- Webhooks are seen by the office and managed by an owner in person; deliveries are also the server's own work: it sees
-- and changes those of the one operation that `delivering` names, and of every operation only which have webhooks
-- (`delivering_everywhere`).
DO $$
DECLARE
  guarded text;
BEGIN
  FOREACH guarded IN ARRAY ARRAY['webhook', 'webhook_delivery', 'webhook_attempt'] LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', guarded);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', guarded);
    EXECUTE format('GRANT SELECT ON %I TO rickyard_app', guarded);
  END LOOP;
END $$;
GRANT INSERT, UPDATE ON webhook TO rickyard_app;
GRANT INSERT, UPDATE, DELETE ON webhook_delivery TO rickyard_app;
GRANT INSERT, DELETE ON webhook_attempt TO rickyard_app;

CREATE POLICY webhook_read ON webhook FOR SELECT USING (
  COALESCE(operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('office')))), false)
  OR operation_id = (SELECT rickyard.setting('delivering')::uuid)
  OR (SELECT rickyard.setting('delivering_everywhere')) = 'yes'
);
-- As with keys: by a person, never by a key, and in that person's name.
CREATE POLICY webhook_insert ON webhook FOR INSERT WITH CHECK (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))) AND (SELECT rickyard.setting('key_id')) IS NULL
    AND answered_by = (SELECT rickyard.person())
);
CREATE POLICY webhook_update ON webhook FOR UPDATE USING (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))) AND (SELECT rickyard.setting('key_id')) IS NULL
);
CREATE POLICY webhook_delivering ON webhook FOR UPDATE
  USING (operation_id = (SELECT rickyard.setting('delivering')::uuid))
  WITH CHECK (operation_id = (SELECT rickyard.setting('delivering')::uuid));

-- Whose day it is, there.
CREATE POLICY operation_delivering ON operation FOR SELECT
  USING (id = (SELECT rickyard.setting('delivering')::uuid));

CREATE POLICY webhook_delivery_read ON webhook_delivery FOR SELECT USING (
  COALESCE(operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('office')))), false)
  OR operation_id = (SELECT rickyard.setting('delivering')::uuid)
);
CREATE POLICY webhook_delivery_insert ON webhook_delivery FOR INSERT WITH CHECK (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('office'))))
  OR operation_id = (SELECT rickyard.setting('delivering')::uuid)
);
CREATE POLICY webhook_delivery_update ON webhook_delivery FOR UPDATE USING (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('office'))))
  OR operation_id = (SELECT rickyard.setting('delivering')::uuid)
);
CREATE POLICY webhook_delivery_delete ON webhook_delivery FOR DELETE
  USING (operation_id = (SELECT rickyard.setting('delivering')::uuid));

CREATE POLICY webhook_attempt_read ON webhook_attempt FOR SELECT USING (
  COALESCE(operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('office')))), false)
  OR operation_id = (SELECT rickyard.setting('delivering')::uuid)
);
CREATE POLICY webhook_attempt_insert ON webhook_attempt FOR INSERT
  WITH CHECK (operation_id = (SELECT rickyard.setting('delivering')::uuid));
CREATE POLICY webhook_attempt_delete ON webhook_attempt FOR DELETE
  USING (operation_id = (SELECT rickyard.setting('delivering')::uuid));

-- For rickyard.tell_webhooks(), which runs as the schema's owner: whoever closes or corrects need not see webhooks.
DO $$
BEGIN
  EXECUTE format('CREATE POLICY webhook_telling ON webhook FOR SELECT TO %I '
    'USING (rickyard.setting(''telling_webhooks'') = ''yes'')', current_user);
  EXECUTE format('CREATE POLICY webhook_delivery_telling ON webhook_delivery TO %I '
    'USING (rickyard.setting(''telling_webhooks'') = ''yes'') '
    'WITH CHECK (rickyard.setting(''telling_webhooks'') = ''yes'')', current_user);
  EXECUTE format('CREATE POLICY membership_telling ON membership FOR SELECT TO %I '
    'USING (rickyard.setting(''telling_webhooks'') = ''yes'')', current_user);
  EXECUTE format('CREATE POLICY entry_correction_telling ON entry_correction FOR SELECT TO %I '
    'USING (rickyard.setting(''telling_webhooks'') = ''yes'')', current_user);
END $$;
