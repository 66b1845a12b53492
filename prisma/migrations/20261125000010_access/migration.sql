-- People, their places in operations and what guards them: invitations, engagements, recovery, second factor, keys of one's own, denied attempts,
-- and the deletion of an operation.

-- AlterTable
ALTER TABLE "person_session" ADD COLUMN     "address" TEXT;

-- AlterTable
ALTER TABLE "api_key" ADD COLUMN     "replaces_id" UUID;

-- CreateTable
CREATE TABLE "membership_change" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "membership_id" UUID NOT NULL,
    "person_id" UUID NOT NULL,
    "what" TEXT NOT NULL,
    "role" TEXT NOT NULL,
    "sees_prices" BOOLEAN NOT NULL,
    "from_at" TIMESTAMPTZ(6) NOT NULL,
    "until_at" TIMESTAMPTZ(6),
    "version" INTEGER NOT NULL,
    "changed_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "changed_by" UUID,

    CONSTRAINT "membership_change_pkey" PRIMARY KEY ("operation_id","id")
);

-- CreateTable
CREATE TABLE "invitation" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "email" TEXT NOT NULL,
    "role" TEXT NOT NULL,
    "sees_prices" BOOLEAN NOT NULL,
    "from_at" TIMESTAMPTZ(6),
    "until_at" TIMESTAMPTZ(6),
    "note" TEXT,
    "token_hash" TEXT NOT NULL,
    "invited_by" UUID NOT NULL,
    "created_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "expires_at" TIMESTAMPTZ(6) NOT NULL,
    "accepted_at" TIMESTAMPTZ(6),
    "membership_id" UUID,
    "withdrawn_at" TIMESTAMPTZ(6),
    "version" INTEGER NOT NULL DEFAULT 1,

    CONSTRAINT "invitation_pkey" PRIMARY KEY ("operation_id","id")
);

-- CreateTable
CREATE TABLE "engagement" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "operation_name" TEXT NOT NULL,
    "consultant_email" TEXT NOT NULL,
    "consultant_id" UUID,
    "begun_by" TEXT NOT NULL,
    "state" TEXT NOT NULL,
    "sees_prices" BOOLEAN NOT NULL,
    "until_at" TIMESTAMPTZ(6),
    "after_end" TEXT NOT NULL,
    "note" TEXT,
    "offered_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "expires_at" TIMESTAMPTZ(6) NOT NULL,
    "answered_at" TIMESTAMPTZ(6),
    "membership_id" UUID,
    "ended_at" TIMESTAMPTZ(6),
    "ended_by" TEXT,
    "version" INTEGER NOT NULL DEFAULT 1,

    CONSTRAINT "engagement_pkey" PRIMARY KEY ("operation_id","id")
);

-- CreateTable
CREATE TABLE "engagement_archive" (
    "operation_id" UUID NOT NULL,
    "engagement_id" UUID NOT NULL,
    "consultant_id" UUID NOT NULL,
    "ended_at" TIMESTAMPTZ(6) NOT NULL,
    "record_count" INTEGER NOT NULL,
    "content" BYTEA NOT NULL,

    CONSTRAINT "engagement_archive_pkey" PRIMARY KEY ("operation_id","engagement_id")
);

-- CreateTable
CREATE TABLE "engagement_proposal" (
    "id" UUID NOT NULL,
    "consultant_id" UUID NOT NULL,
    "consultant_name" TEXT NOT NULL,
    "consultant_email" TEXT NOT NULL,
    "owner_email" TEXT NOT NULL,
    "note" TEXT,
    "state" TEXT NOT NULL DEFAULT 'open',
    "created_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "expires_at" TIMESTAMPTZ(6) NOT NULL,
    "answered_at" TIMESTAMPTZ(6),
    "version" INTEGER NOT NULL DEFAULT 1,

    CONSTRAINT "engagement_proposal_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "recovery_token" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "membership_id" UUID NOT NULL,
    "person_id" UUID NOT NULL,
    "token_hash" TEXT NOT NULL,
    "issued_by" UUID NOT NULL,
    "created_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "expires_at" TIMESTAMPTZ(6) NOT NULL,
    "used_at" TIMESTAMPTZ(6),

    CONSTRAINT "recovery_token_pkey" PRIMARY KEY ("operation_id","id")
);

-- CreateTable
CREATE TABLE "recovery_code" (
    "id" UUID NOT NULL,
    "person_id" UUID NOT NULL,
    "code_hash" TEXT NOT NULL,
    "created_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "used_at" TIMESTAMPTZ(6),

    CONSTRAINT "recovery_code_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "second_factor" (
    "person_id" UUID NOT NULL,
    "secret" TEXT NOT NULL,
    "created_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "confirmed_at" TIMESTAMPTZ(6),
    "last_step" INTEGER,

    CONSTRAINT "second_factor_pkey" PRIMARY KEY ("person_id")
);

-- CreateTable
CREATE TABLE "person_key" (
    "id" UUID NOT NULL,
    "person_id" UUID NOT NULL,
    "name" TEXT NOT NULL,
    "secret_hash" TEXT NOT NULL,
    "scopes" TEXT[],
    "expires_at" TIMESTAMPTZ(6) NOT NULL,
    "created_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "revoked_at" TIMESTAMPTZ(6),
    "last_used_at" TIMESTAMPTZ(6),
    "replaces_id" UUID,
    "version" INTEGER NOT NULL DEFAULT 1,

    CONSTRAINT "person_key_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "denied_attempt" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "hour" TIMESTAMPTZ(6) NOT NULL,
    "subject_hash" TEXT NOT NULL,
    "endpoint" TEXT NOT NULL,
    "code" TEXT NOT NULL,
    "person_id" UUID,
    "api_key_id" UUID,
    "address" TEXT NOT NULL,
    "request_id" TEXT NOT NULL,
    "first_at" TIMESTAMPTZ(6) NOT NULL,
    "last_at" TIMESTAMPTZ(6) NOT NULL,
    "attempts" INTEGER NOT NULL DEFAULT 1,

    CONSTRAINT "denied_attempt_pkey" PRIMARY KEY ("operation_id","id")
);

-- CreateTable
CREATE TABLE "operation_deletion" (
    "operation_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "requested_by" UUID NOT NULL,
    "reason" TEXT NOT NULL,
    "requested_at" TIMESTAMPTZ(6) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "not_before" TIMESTAMPTZ(6) NOT NULL,
    "expires_at" TIMESTAMPTZ(6) NOT NULL,
    "cancelled_at" TIMESTAMPTZ(6),
    "cancelled_by" UUID,

    CONSTRAINT "operation_deletion_pkey" PRIMARY KEY ("operation_id","id")
);

-- CreateTable
CREATE TABLE "erased_operation" (
    "id" UUID NOT NULL,
    "name" TEXT NOT NULL,
    "requested_at" TIMESTAMPTZ(6) NOT NULL,
    "requested_by" UUID NOT NULL,
    "confirmed_at" TIMESTAMPTZ(6) NOT NULL,
    "confirmed_by" UUID NOT NULL,
    "request_id" TEXT NOT NULL,
    "address" TEXT NOT NULL,
    "row_counts" JSONB NOT NULL,
    "last_sequence" BIGINT NOT NULL,
    "last_chain_hash" TEXT NOT NULL,

    CONSTRAINT "erased_operation_pkey" PRIMARY KEY ("id")
);

-- CreateIndex
CREATE INDEX "membership_change_operation_id_membership_id_version_idx" ON "membership_change"("operation_id", "membership_id", "version");

-- CreateIndex
CREATE UNIQUE INDEX "invitation_token_hash_key" ON "invitation"("token_hash");

-- CreateIndex
CREATE INDEX "engagement_consultant_id_idx" ON "engagement"("consultant_id");

-- CreateIndex
CREATE INDEX "engagement_consultant_email_idx" ON "engagement"("consultant_email");

-- CreateIndex
CREATE INDEX "engagement_proposal_consultant_id_idx" ON "engagement_proposal"("consultant_id");

-- CreateIndex
CREATE INDEX "engagement_proposal_owner_email_idx" ON "engagement_proposal"("owner_email");

-- CreateIndex
CREATE UNIQUE INDEX "recovery_token_token_hash_key" ON "recovery_token"("token_hash");

-- CreateIndex
CREATE INDEX "recovery_code_person_id_idx" ON "recovery_code"("person_id");

-- CreateIndex
CREATE INDEX "person_key_person_id_idx" ON "person_key"("person_id");

-- CreateIndex
CREATE UNIQUE INDEX "denied_attempt_operation_id_hour_subject_hash_key" ON "denied_attempt"("operation_id", "hour", "subject_hash");

-- AddForeignKey
ALTER TABLE "api_key" ADD CONSTRAINT "api_key_operation_id_replaces_id_fkey" FOREIGN KEY ("operation_id", "replaces_id") REFERENCES "api_key"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "membership_change" ADD CONSTRAINT "membership_change_person_id_fkey" FOREIGN KEY ("person_id") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "membership_change" ADD CONSTRAINT "membership_change_operation_id_membership_id_fkey" FOREIGN KEY ("operation_id", "membership_id") REFERENCES "membership"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "invitation" ADD CONSTRAINT "invitation_operation_id_fkey" FOREIGN KEY ("operation_id") REFERENCES "operation"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "invitation" ADD CONSTRAINT "invitation_invited_by_fkey" FOREIGN KEY ("invited_by") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "invitation" ADD CONSTRAINT "invitation_operation_id_membership_id_fkey" FOREIGN KEY ("operation_id", "membership_id") REFERENCES "membership"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "engagement" ADD CONSTRAINT "engagement_operation_id_fkey" FOREIGN KEY ("operation_id") REFERENCES "operation"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "engagement" ADD CONSTRAINT "engagement_consultant_id_fkey" FOREIGN KEY ("consultant_id") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "engagement" ADD CONSTRAINT "engagement_operation_id_membership_id_fkey" FOREIGN KEY ("operation_id", "membership_id") REFERENCES "membership"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "engagement_archive" ADD CONSTRAINT "engagement_archive_consultant_id_fkey" FOREIGN KEY ("consultant_id") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "engagement_archive" ADD CONSTRAINT "engagement_archive_operation_id_engagement_id_fkey" FOREIGN KEY ("operation_id", "engagement_id") REFERENCES "engagement"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "engagement_proposal" ADD CONSTRAINT "engagement_proposal_consultant_id_fkey" FOREIGN KEY ("consultant_id") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "recovery_token" ADD CONSTRAINT "recovery_token_operation_id_membership_id_fkey" FOREIGN KEY ("operation_id", "membership_id") REFERENCES "membership"("operation_id", "id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "recovery_token" ADD CONSTRAINT "recovery_token_person_id_fkey" FOREIGN KEY ("person_id") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "recovery_code" ADD CONSTRAINT "recovery_code_person_id_fkey" FOREIGN KEY ("person_id") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "second_factor" ADD CONSTRAINT "second_factor_person_id_fkey" FOREIGN KEY ("person_id") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "person_key" ADD CONSTRAINT "person_key_replaces_id_fkey" FOREIGN KEY ("replaces_id") REFERENCES "person_key"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "person_key" ADD CONSTRAINT "person_key_person_id_fkey" FOREIGN KEY ("person_id") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "denied_attempt" ADD CONSTRAINT "denied_attempt_operation_id_fkey" FOREIGN KEY ("operation_id") REFERENCES "operation"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "operation_deletion" ADD CONSTRAINT "operation_deletion_operation_id_fkey" FOREIGN KEY ("operation_id") REFERENCES "operation"("id") ON DELETE RESTRICT ON UPDATE RESTRICT;


-- ───────── who is asking, once more: a consultant's own key ─────────
-- As before, and: a key of a person's own (person_key) reaches the operations that engage its maker as nutritionist at this moment.
CREATE OR REPLACE FUNCTION rickyard.enter(the_person uuid, the_key uuid, the_moment timestamptz, only_operation uuid)
RETURNS TABLE (operation_id uuid, role text, sees_prices boolean, scopes text[])
LANGUAGE plpgsql AS $$
DECLARE
  key_scopes text[];
  key_operation uuid;
BEGIN
  PERFORM set_config('rickyard.person_id', COALESCE(the_person::text, ''), true);
  PERFORM set_config('rickyard.key_id', COALESCE(the_key::text, ''), true);
  PERFORM set_config('rickyard.moment', COALESCE(the_moment::text, ''), true);
  PERFORM set_config('rickyard.may_' || act, '{}', true) FROM unnest(ARRAY['read', 'prices', 'records', 'daily', 'desk', 'office', 'own']) AS act;

  IF the_key IS NOT NULL THEN
    SELECT k.scopes, k.operation_id INTO key_scopes, key_operation
      FROM api_key k
     WHERE k.id = the_key AND k.created_by = the_person AND k.revoked_at IS NULL AND k.expires_at > the_moment;
    IF NOT FOUND THEN
      SELECT k.scopes INTO key_scopes
        FROM person_key k
       WHERE k.id = the_key AND k.person_id = the_person AND k.revoked_at IS NULL AND k.expires_at > the_moment;
      IF NOT FOUND THEN RETURN; END IF;
    END IF;
  END IF;

  PERFORM set_config('rickyard.may_' || allowed.act, allowed.operations::text, true)
    FROM (
      SELECT grants.act, array_agg(m.operation_id) AS operations
        FROM membership m
        JOIN (VALUES
          ('owner', 'read'), ('owner', 'prices'), ('owner', 'records'), ('owner', 'daily'), ('owner', 'desk'), ('owner', 'office'), ('owner', 'own'),
          ('manager', 'read'), ('manager', 'prices'), ('manager', 'records'), ('manager', 'daily'),
          ('hand', 'read'), ('hand', 'daily'),
          ('nutritionist', 'read'), ('nutritionist', 'prices'), ('nutritionist', 'desk'),
          ('accountant', 'read'), ('accountant', 'prices'), ('accountant', 'office')
        ) AS grants (role, act) ON grants.role = m.role
       WHERE m.person_id = the_person
         AND m.from_at <= the_moment AND (m.until_at IS NULL OR m.until_at > the_moment)
         AND (only_operation IS NULL OR m.operation_id = only_operation)
         AND (grants.act <> 'prices' OR m.sees_prices)
         -- A key can do no more than the person who made it may do now, and no more than its scopes.
         AND (the_key IS NULL OR (grants.act = ANY (key_scopes) AND CASE WHEN key_operation IS NULL THEN m.role = 'nutritionist' ELSE m.operation_id = key_operation END))
       GROUP BY grants.act
    ) AS allowed;

  RETURN QUERY
    SELECT m.operation_id, m.role, m.sees_prices, key_scopes
      FROM membership m
     WHERE m.person_id = the_person
       AND m.from_at <= the_moment AND (m.until_at IS NULL OR m.until_at > the_moment)
       AND (only_operation IS NULL OR m.operation_id = only_operation)
       AND (the_key IS NULL OR CASE WHEN key_operation IS NULL THEN m.role = 'nutritionist' ELSE m.operation_id = key_operation END);
END $$;

-- The email of the one asking, read from their own row: what is offered to that address shows to them, and only for this transaction.
CREATE FUNCTION rickyard.know_own_email() RETURNS text LANGUAGE sql VOLATILE
AS $$ SELECT set_config('rickyard.own_email', COALESCE((SELECT p.email FROM person p WHERE p.id = rickyard.person()), ''), true) $$;

GRANT EXECUTE ON FUNCTION rickyard.know_own_email() TO rickyard_app;

-- ───────── row-level security ─────────
DO $$
DECLARE
  guarded text;
BEGIN
  FOREACH guarded IN ARRAY ARRAY[
    'membership_change', 'invitation', 'engagement', 'engagement_archive', 'engagement_proposal', 'recovery_token', 'recovery_code',
    'second_factor', 'person_key', 'denied_attempt', 'operation_deletion', 'erased_operation'
  ] LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', guarded);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', guarded);
    EXECUTE format('GRANT SELECT, INSERT ON %I TO rickyard_app', guarded);
  END LOOP;
END $$;
GRANT UPDATE ON invitation, engagement, engagement_proposal, recovery_token, recovery_code, second_factor, person_key, denied_attempt, operation_deletion TO rickyard_app;
GRANT DELETE ON engagement_archive, recovery_code, second_factor TO rickyard_app;

-- `audited_operation` is set where somebody who is no member leaves a trace in an operation: a denied attempt, an acceptance.
CREATE POLICY membership_change_read ON membership_change FOR SELECT USING (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))) OR person_id = (SELECT rickyard.person())
);
CREATE POLICY membership_change_insert ON membership_change FOR INSERT WITH CHECK (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('read')))) OR operation_id = (SELECT rickyard.setting('audited_operation')::uuid)
);

CREATE POLICY invitation_read ON invitation FOR SELECT USING (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))) OR token_hash = (SELECT rickyard.setting('proof'))
);
CREATE POLICY invitation_insert ON invitation FOR INSERT WITH CHECK (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))));
CREATE POLICY invitation_update ON invitation FOR UPDATE
  USING (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))) OR token_hash = (SELECT rickyard.setting('proof')))
  WITH CHECK (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))) OR token_hash = (SELECT rickyard.setting('proof')));

CREATE POLICY engagement_read ON engagement FOR SELECT USING (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own'))))
  OR consultant_id = (SELECT rickyard.person())
  OR consultant_email = (SELECT rickyard.setting('own_email'))
);
CREATE POLICY engagement_insert ON engagement FOR INSERT WITH CHECK (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own'))))
  -- One who joins by an invitation as nutritionist writes down the engagement that the invitation was.
  OR (consultant_id = (SELECT rickyard.person()) AND EXISTS (
    SELECT 1 FROM invitation i WHERE i.operation_id = engagement.operation_id AND i.token_hash = (SELECT rickyard.setting('proof')) AND i.role = 'nutritionist' AND i.sees_prices = engagement.sees_prices))
);
CREATE POLICY engagement_update ON engagement FOR UPDATE
  USING (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))) OR consultant_id = (SELECT rickyard.person()) OR consultant_email = (SELECT rickyard.setting('own_email')))
  WITH CHECK (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))) OR consultant_id = (SELECT rickyard.person()) OR consultant_email = (SELECT rickyard.setting('own_email')));

-- The frozen copy is its consultant's; an owner may see that it is there and take it away.
CREATE POLICY engagement_archive_read ON engagement_archive FOR SELECT USING (
  consultant_id = (SELECT rickyard.person()) OR operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own'))))
);
CREATE POLICY engagement_archive_insert ON engagement_archive FOR INSERT WITH CHECK (
  consultant_id = (SELECT rickyard.person()) OR operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own'))))
);
CREATE POLICY engagement_archive_delete ON engagement_archive FOR DELETE USING (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))));

CREATE POLICY engagement_proposal_read ON engagement_proposal FOR SELECT USING (
  consultant_id = (SELECT rickyard.person()) OR owner_email = (SELECT rickyard.setting('own_email'))
);
CREATE POLICY engagement_proposal_insert ON engagement_proposal FOR INSERT WITH CHECK (consultant_id = (SELECT rickyard.person()));
CREATE POLICY engagement_proposal_update ON engagement_proposal FOR UPDATE
  USING (consultant_id = (SELECT rickyard.person()) OR owner_email = (SELECT rickyard.setting('own_email')));

CREATE POLICY recovery_token_read ON recovery_token FOR SELECT USING (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))) OR token_hash = (SELECT rickyard.setting('proof'))
);
CREATE POLICY recovery_token_insert ON recovery_token FOR INSERT WITH CHECK (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))));
CREATE POLICY recovery_token_update ON recovery_token FOR UPDATE USING (token_hash = (SELECT rickyard.setting('proof')));

CREATE POLICY recovery_code_own ON recovery_code USING (person_id = (SELECT rickyard.person())) WITH CHECK (person_id = (SELECT rickyard.person()));
CREATE POLICY second_factor_own ON second_factor USING (person_id = (SELECT rickyard.person())) WITH CHECK (person_id = (SELECT rickyard.person()));
CREATE POLICY person_key_own ON person_key
  USING (person_id = (SELECT rickyard.person()) OR id = (SELECT rickyard.setting('key_id')::uuid))
  WITH CHECK (person_id = (SELECT rickyard.person()) OR id = (SELECT rickyard.setting('key_id')::uuid));

CREATE POLICY denied_attempt_read ON denied_attempt FOR SELECT USING (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))) OR operation_id = (SELECT rickyard.setting('audited_operation')::uuid)
);
CREATE POLICY denied_attempt_insert ON denied_attempt FOR INSERT WITH CHECK (operation_id = (SELECT rickyard.setting('audited_operation')::uuid));
CREATE POLICY denied_attempt_update ON denied_attempt FOR UPDATE USING (operation_id = (SELECT rickyard.setting('audited_operation')::uuid));

CREATE POLICY operation_deletion_read ON operation_deletion FOR SELECT USING (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))));
CREATE POLICY operation_deletion_insert ON operation_deletion FOR INSERT WITH CHECK (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))));
CREATE POLICY operation_deletion_update ON operation_deletion FOR UPDATE USING (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))));

CREATE POLICY erased_operation_read ON erased_operation FOR SELECT USING (
  requested_by = (SELECT rickyard.person()) OR confirmed_by = (SELECT rickyard.person())
);
-- Written only inside rickyard_erasure.erase_operation(), which sets `erasing` and runs as the schema's owner.
CREATE POLICY erased_operation_insert ON erased_operation FOR INSERT WITH CHECK (id = (SELECT rickyard.setting('erasing')::uuid));
REVOKE INSERT ON erased_operation FROM rickyard_app;

DROP POLICY audit_entry_read ON audit_entry;
CREATE POLICY audit_entry_read ON audit_entry FOR SELECT USING (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own'))))
  -- The chain's last link must be seen to add the next one (only within rickyard.chain_audit_entry).
  OR (rickyard.setting('chaining') = 'yes' AND (
    operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('read')))) OR operation_id = (SELECT rickyard.setting('audited_operation')::uuid)))
);
DROP POLICY audit_entry_insert ON audit_entry;
CREATE POLICY audit_entry_insert ON audit_entry FOR INSERT WITH CHECK (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('read')))) OR operation_id = (SELECT rickyard.setting('audited_operation')::uuid)
);

-- Joining: the row must be the one that was offered, to the one who accepts it.
CREATE POLICY membership_join_invited ON membership FOR INSERT WITH CHECK (
  person_id = (SELECT rickyard.person()) AND EXISTS (
    SELECT 1 FROM invitation i
     WHERE i.operation_id = membership.operation_id AND i.token_hash = (SELECT rickyard.setting('proof'))
       AND i.accepted_at IS NULL AND i.withdrawn_at IS NULL AND i.expires_at > (SELECT rickyard.setting('moment')::timestamptz)
       AND i.role = membership.role AND i.sees_prices = membership.sees_prices AND i.until_at IS NOT DISTINCT FROM membership.until_at
       AND membership.from_at >= COALESCE(i.from_at, '-infinity'))
);
CREATE POLICY membership_join_engaged ON membership FOR INSERT WITH CHECK (
  person_id = (SELECT rickyard.person()) AND role = 'nutritionist' AND EXISTS (
    SELECT 1 FROM engagement e
     WHERE e.operation_id = membership.operation_id AND e.consultant_email = (SELECT rickyard.setting('own_email'))
       AND e.state = 'offered' AND e.expires_at > (SELECT rickyard.setting('moment')::timestamptz)
       AND e.sees_prices = membership.sees_prices AND e.until_at IS NOT DISTINCT FROM membership.until_at)
);
-- Leaving: anybody may end their own membership; rickyard.guard_membership() lets nothing else of the row change.
CREATE POLICY membership_leave ON membership FOR UPDATE
  USING (person_id = (SELECT rickyard.person()))
  WITH CHECK (person_id = (SELECT rickyard.person()) AND until_at IS NOT NULL AND until_at <= (SELECT rickyard.setting('moment')::timestamptz));

-- ───────── the history of memberships, and the last owner ─────────
CREATE FUNCTION rickyard.guard_membership() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF NEW.operation_id <> OLD.operation_id OR NEW.id <> OLD.id OR NEW.person_id <> OLD.person_id OR NEW.from_at <> OLD.from_at OR OLD.until_at <= rickyard.setting('moment')::timestamptz THEN
    RAISE EXCEPTION 'a membership keeps its person and its beginning, and one that ended stays ended' USING ERRCODE = 'RY051';
  END IF;
  IF rickyard.person() = OLD.person_id AND NOT (OLD.operation_id = ANY (rickyard.operations('own'))) AND (NEW.role <> OLD.role OR NEW.sees_prices <> OLD.sees_prices) THEN
    RAISE EXCEPTION 'nobody changes their own role' USING ERRCODE = 'RY051';
  END IF;
  -- One after the other: two owners who leave at the same moment must not both count the other.
  PERFORM pg_advisory_xact_lock(hashtextextended(OLD.operation_id::text, 730));
  IF OLD.role = 'owner' AND OLD.until_at IS NULL AND (NEW.role <> 'owner' OR NEW.until_at IS NOT NULL) AND NOT EXISTS (
    SELECT 1 FROM membership m WHERE m.operation_id = OLD.operation_id AND m.id <> OLD.id AND m.role = 'owner' AND m.until_at IS NULL
      AND (rickyard.setting('moment') IS NULL OR m.from_at <= rickyard.setting('moment')::timestamptz)
  ) THEN
    RAISE EXCEPTION 'an operation keeps at least one owner whose membership has no end' USING ERRCODE = 'RY050';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER membership_guard BEFORE UPDATE ON membership FOR EACH ROW EXECUTE FUNCTION rickyard.guard_membership();

CREATE FUNCTION rickyard.note_membership_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  INSERT INTO membership_change (operation_id, id, membership_id, person_id, what, role, sees_prices, from_at, until_at, version, changed_at, changed_by)
  VALUES (NEW.operation_id, gen_random_uuid(), NEW.id, NEW.person_id,
    CASE WHEN TG_OP = 'INSERT' THEN 'begun' WHEN NEW.until_at IS DISTINCT FROM OLD.until_at AND NEW.until_at <= COALESCE(rickyard.setting('moment')::timestamptz, now()) THEN 'ended' ELSE 'changed' END,
    NEW.role, NEW.sees_prices, NEW.from_at, NEW.until_at, NEW.version, COALESCE(rickyard.setting('moment')::timestamptz, now()), rickyard.person());
  RETURN NULL;
END $$;
CREATE TRIGGER membership_history AFTER INSERT OR UPDATE ON membership FOR EACH ROW EXECUTE FUNCTION rickyard.note_membership_change();

-- One open-ended place for a person in an operation at a time.
CREATE UNIQUE INDEX membership_one_open ON membership (operation_id, person_id) WHERE until_at IS NULL;

-- A consultant may answer and end an engagement; what it grants is the owner's to say.
CREATE FUNCTION rickyard.guard_engagement() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF NOT (OLD.operation_id = ANY (rickyard.operations('own'))) AND rickyard.person() IS NOT NULL AND (
    NEW.operation_id <> OLD.operation_id OR NEW.sees_prices <> OLD.sees_prices OR NEW.after_end <> OLD.after_end OR NEW.until_at IS DISTINCT FROM OLD.until_at
    OR NEW.consultant_email <> OLD.consultant_email OR (OLD.state <> 'offered' AND NEW.state <> 'ended')) THEN
    RAISE EXCEPTION 'a consultant answers or ends an engagement, and changes nothing else of it' USING ERRCODE = 'RY051';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER engagement_guard BEFORE UPDATE ON engagement FOR EACH ROW EXECUTE FUNCTION rickyard.guard_engagement();

-- ───────── words and ranges ─────────
ALTER TABLE membership_change ADD CONSTRAINT membership_change_what CHECK (what IN ('begun', 'changed', 'ended'));
ALTER TABLE invitation
  ADD CONSTRAINT invitation_role CHECK (role IN ('owner', 'manager', 'hand', 'nutritionist', 'accountant')),
  ADD CONSTRAINT invitation_hand_sees_no_prices CHECK (role <> 'hand' OR NOT sees_prices),
  ADD CONSTRAINT invitation_span CHECK (until_at IS NULL OR until_at > COALESCE(from_at, created_at)),
  ADD CONSTRAINT invitation_one_end CHECK (accepted_at IS NULL OR withdrawn_at IS NULL);
ALTER TABLE engagement
  ADD CONSTRAINT engagement_state CHECK (state IN ('offered', 'accepted', 'declined', 'withdrawn', 'ended')),
  ADD CONSTRAINT engagement_begun_by CHECK (begun_by IN ('operation', 'consultant')),
  ADD CONSTRAINT engagement_ended_by CHECK (ended_by IS NULL OR ended_by IN ('operation', 'consultant')),
  ADD CONSTRAINT engagement_after_end CHECK (after_end IN ('history', 'nothing')),
  ADD CONSTRAINT engagement_accepted CHECK (state NOT IN ('accepted', 'ended') OR (consultant_id IS NOT NULL AND membership_id IS NOT NULL));
ALTER TABLE engagement_proposal ADD CONSTRAINT engagement_proposal_state CHECK (state IN ('open', 'accepted', 'declined', 'withdrawn'));
ALTER TABLE denied_attempt ADD CONSTRAINT denied_attempt_count CHECK (attempts >= 1);
CREATE UNIQUE INDEX operation_deletion_one_open ON operation_deletion (operation_id) WHERE cancelled_at IS NULL;

DO $$
DECLARE
  guarded text;
BEGIN
  FOREACH guarded IN ARRAY ARRAY['membership_change', 'erased_operation'] LOOP
    EXECUTE format('CREATE TRIGGER %I BEFORE UPDATE OR DELETE ON %I FOR EACH ROW EXECUTE FUNCTION rickyard.refuse_change()', guarded || '_append_only', guarded);
    EXECUTE format('CREATE TRIGGER %I BEFORE TRUNCATE ON %I FOR EACH STATEMENT EXECUTE FUNCTION rickyard.refuse_change()', guarded || '_no_truncate', guarded);
  END LOOP;
END $$;

-- ───────── deleting an operation ─────────
-- The app may delete no record. One role may, `rickyard_eraser`: nobody logs in as it, it owns one function, and its policies show it one
-- operation, the one that rickyard_erasure.erase_operation() was asked to erase and found ready: requested by an owner, the wait over, not cancelled.
DO $$
BEGIN
  IF NOT EXISTS (SELECT 1 FROM pg_roles WHERE rolname = 'rickyard_eraser') THEN
    CREATE ROLE rickyard_eraser NOLOGIN NOSUPERUSER NOCREATEDB NOCREATEROLE NOBYPASSRLS;
  END IF;
  IF NOT pg_has_role(current_user, 'rickyard_eraser', 'member') THEN
    EXECUTE format('GRANT rickyard_eraser TO %I', current_user);
  END IF;
END $$;
-- A schema of its own: what is granted on everything in `rickyard` must never reach these functions.
CREATE SCHEMA rickyard_erasure;
GRANT USAGE ON SCHEMA rickyard_erasure TO rickyard_app, rickyard_eraser;
GRANT USAGE ON SCHEMA public, rickyard TO rickyard_eraser;

CREATE OR REPLACE FUNCTION rickyard.refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  -- A whole operation may go, by the one road there is for it; a single record never.
  IF TG_OP = 'DELETE' AND current_user = 'rickyard_eraser' THEN RETURN OLD; END IF;
  RAISE EXCEPTION '% is append-only: a mistake is answered by a reversal, never by an edit', TG_TABLE_NAME USING ERRCODE = 'RY002';
END $$;

-- Gives the eraser its policy on every table that holds an operation's data and has none yet: tables that came after this migration too.
CREATE FUNCTION rickyard_erasure.allow() RETURNS void LANGUAGE plpgsql AS $$
DECLARE
  held record;
BEGIN
  FOR held IN
    SELECT c.relname AS table_name, format('operation_id = (SELECT rickyard.setting(%L)::uuid)', 'erasing') AS within
      FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid
     WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p') AND a.attname = 'operation_id' AND NOT a.attisdropped
    UNION ALL SELECT 'operation', format('id = (SELECT rickyard.setting(%L)::uuid)', 'erasing')
    -- First answers kept for repeats hold records too.
    UNION ALL SELECT 'idempotency_record', format('route LIKE ''%%'' || (SELECT rickyard.setting(%L)) || ''%%''', 'erasing')
  LOOP
    IF NOT EXISTS (SELECT 1 FROM pg_policies p WHERE p.schemaname = 'public' AND p.tablename = held.table_name AND p.policyname = held.table_name || '_erase') THEN
      EXECUTE format('GRANT SELECT, DELETE ON %I TO rickyard_eraser', held.table_name);
      EXECUTE format('CREATE POLICY %I ON %I TO rickyard_eraser USING (%s)', held.table_name || '_erase', held.table_name, held.within);
    END IF;
  END LOOP;
END $$;
REVOKE EXECUTE ON FUNCTION rickyard_erasure.allow() FROM PUBLIC;
SELECT rickyard_erasure.allow();

-- Deletes what the eraser can see, in whatever order the foreign keys allow, and answers how many rows of each table went.
CREATE FUNCTION rickyard_erasure.erase_rows() RETURNS jsonb LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
  remaining text[];
  held_back text[];
  held text;
  gone bigint;
  counts jsonb := '{}';
BEGIN
  SELECT array_agg(p.tablename::text ORDER BY p.tablename) INTO remaining FROM pg_policies p WHERE p.schemaname = 'public' AND p.policyname = p.tablename || '_erase';
  WHILE cardinality(remaining) > 0 LOOP
    held_back := '{}';
    FOREACH held IN ARRAY remaining LOOP
      BEGIN
        -- The condition says again what the policy says: an answer kept for the one asking would show by another policy too.
        EXECUTE format('DELETE FROM %I WHERE ' || CASE held
          WHEN 'operation' THEN 'id = rickyard.setting(''erasing'')::uuid'
          WHEN 'idempotency_record' THEN 'route LIKE ''%%'' || rickyard.setting(''erasing'') || ''%%'''
          ELSE 'operation_id = rickyard.setting(''erasing'')::uuid' END, held);
        GET DIAGNOSTICS gone = ROW_COUNT;
        counts := counts || jsonb_build_object(held, gone);
      EXCEPTION WHEN foreign_key_violation OR restrict_violation THEN
        held_back := held_back || held;
      END;
    END LOOP;
    IF cardinality(held_back) = cardinality(remaining) THEN
      RAISE EXCEPTION 'these tables hold each other back: %', array_to_string(held_back, ', ');
    END IF;
    remaining := held_back;
  END LOOP;
  RETURN counts;
END $$;
REVOKE EXECUTE ON FUNCTION rickyard_erasure.erase_rows() FROM PUBLIC;
DO $$
BEGIN
  -- For the change of owner only, a new owner must be able to create in the schema.
  GRANT CREATE ON SCHEMA rickyard_erasure TO rickyard_eraser;
  ALTER FUNCTION rickyard_erasure.erase_rows() OWNER TO rickyard_eraser;
  REVOKE CREATE ON SCHEMA rickyard_erasure FROM rickyard_eraser;
  EXECUTE format('GRANT EXECUTE ON FUNCTION rickyard_erasure.erase_rows() TO %I', current_user);
END $$;

-- The one road. Checks the request again under the rights of the one asking, leaves a record outside, and lets the eraser work.
CREATE FUNCTION rickyard_erasure.erase_operation(the_operation uuid, the_request text, the_address text) RETURNS jsonb
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
  asked operation_deletion;
  the_moment timestamptz := rickyard.setting('moment')::timestamptz;
  last_link record;
  the_name text;
  counts jsonb;
BEGIN
  IF rickyard.person() IS NULL OR rickyard.setting('key_id') IS NOT NULL OR NOT (the_operation = ANY (rickyard.operations('own'))) THEN
    RAISE EXCEPTION 'only an owner in person can delete an operation' USING ERRCODE = 'RY052';
  END IF;
  SELECT * INTO asked FROM operation_deletion d WHERE d.operation_id = the_operation AND d.cancelled_at IS NULL FOR UPDATE;
  IF NOT FOUND OR asked.not_before > the_moment OR asked.expires_at <= the_moment THEN
    RAISE EXCEPTION 'the deletion is not asked for, or its wait is not over, or its time has passed' USING ERRCODE = 'RY052';
  END IF;
  PERFORM rickyard_erasure.allow();
  -- Nobody writes the next link meanwhile.
  PERFORM pg_advisory_xact_lock(hashtextextended(the_operation::text, 729));
  SELECT o.name INTO the_name FROM operation o WHERE o.id = the_operation;
  SELECT a.sequence, a.chain_hash INTO last_link FROM audit_entry a WHERE a.operation_id = the_operation ORDER BY a.sequence DESC LIMIT 1;
  PERFORM set_config('rickyard.erasing', the_operation::text, true);
  counts := rickyard_erasure.erase_rows();
  INSERT INTO erased_operation (id, name, requested_at, requested_by, confirmed_at, confirmed_by, request_id, address, row_counts, last_sequence, last_chain_hash)
  VALUES (the_operation, the_name, asked.requested_at, asked.requested_by, the_moment, rickyard.person(), the_request, the_address, counts, COALESCE(last_link.sequence, 0), COALESCE(last_link.chain_hash, ''));
  PERFORM set_config('rickyard.erasing', '', true);
  RETURN counts;
END $$;
REVOKE EXECUTE ON FUNCTION rickyard_erasure.erase_operation(uuid, text, text) FROM PUBLIC;
GRANT EXECUTE ON FUNCTION rickyard_erasure.erase_operation(uuid, text, text) TO rickyard_app;
