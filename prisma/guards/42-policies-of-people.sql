-- Tables whose rows are visible by who is asking, by a proof just shown, or by some other rule than an act alone. The
-- settings named here (proof, sign_in_email, subjects, audited_operation …) end with the transaction that set them.
DO $$
DECLARE
  guarded text;
BEGIN
  FOREACH guarded IN ARRAY ARRAY[
    'person', 'membership', 'membership_change', 'invitation', 'engagement', 'engagement_archive',
      'engagement_proposal',
    'api_key', 'person_key', 'person_session', 'session_token', 'sign_in_attempt', 'recovery_token', 'recovery_code',
    'account_event', 'email_link', 'mail_outbox', 'passkey', 'spent_challenge', 'request_count',
    'second_factor', 'audit_entry', 'denied_attempt', 'idempotency_record', 'operation_deletion', 'erased_operation'
  ] LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', guarded);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', guarded);
    EXECUTE format('GRANT SELECT ON %I TO rickyard_app', guarded);
  END LOOP;
END $$;
GRANT INSERT ON person, membership, membership_change, invitation, engagement, engagement_archive, engagement_proposal,
  api_key, person_key, person_session, session_token, sign_in_attempt, recovery_token, recovery_code, second_factor,
  audit_entry, denied_attempt, idempotency_record, operation_deletion, account_event, email_link, mail_outbox, passkey,
  spent_challenge, request_count TO rickyard_app;
GRANT UPDATE (requests, ends_at) ON request_count TO rickyard_app;
GRANT UPDATE ON person, membership, invitation, engagement, engagement_proposal, api_key, person_key, person_session,
  session_token, recovery_token, recovery_code, second_factor, denied_attempt, idempotency_record, operation_deletion
  TO rickyard_app;
GRANT UPDATE (attempts, happened_at) ON account_event TO rickyard_app;
GRANT UPDATE (used_at, expires_at) ON email_link TO rickyard_app;
GRANT UPDATE (sealed, next_try_at, attempts, last_problem, sent_at, given_up_at) ON mail_outbox TO rickyard_app;
GRANT UPDATE (name, counter, backed_up, last_used_at, last_used_from, count_fell_at, ended_at, version) ON passkey
  TO rickyard_app;
GRANT DELETE ON account_event, engagement_archive, recovery_code, second_factor, sign_in_attempt, idempotency_record,
  mail_outbox, spent_challenge, request_count TO rickyard_app;

-- The person asking, the one whose email was just given to sign in, and those who share an operation with them.
CREATE POLICY person_read ON person FOR SELECT USING (
  id = (SELECT rickyard.person())
  OR email = (SELECT rickyard.setting('sign_in_email'))
  OR id IN (SELECT m.person_id FROM membership m)
  -- Whoever offers themselves to the person asking, who is told whether that email is proven.
  OR id IN (SELECT p.consultant_id FROM engagement_proposal p)
);
-- An account made by an invitation says which operation vouched for it; no other operation can be named.
CREATE POLICY person_insert ON person FOR INSERT WITH CHECK (
  id = (SELECT rickyard.setting('enrolling_id')::uuid) AND email_proven_at IS NULL
  AND vouched_by_operation IS NOT DISTINCT FROM (
    SELECT i.operation_id FROM invitation i WHERE i.token_hash = (SELECT rickyard.setting('proof')))
);
CREATE POLICY person_update ON person FOR UPDATE USING (id = (SELECT rickyard.person()))
  WITH CHECK (id = (SELECT rickyard.person()));

CREATE POLICY membership_read ON membership FOR SELECT USING (
  person_id = (SELECT rickyard.person()) OR operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('read'))))
);
CREATE POLICY membership_insert ON membership FOR INSERT
  WITH CHECK (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))));
CREATE POLICY membership_update ON membership FOR UPDATE
  USING (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))))
  WITH CHECK (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))));
-- Joining: the row must be the one that was offered, to the one who accepts it with the code, and it waits for an
-- owner's confirmation.
CREATE POLICY membership_join_invited ON membership FOR INSERT WITH CHECK (
  person_id = (SELECT rickyard.person()) AND confirmed_at IS NULL AND EXISTS (
    SELECT 1 FROM invitation i
     WHERE i.operation_id = membership.operation_id AND i.token_hash = (SELECT rickyard.setting('proof'))
       AND i.accepted_at IS NULL AND i.withdrawn_at IS NULL
       AND i.expires_at > (SELECT rickyard.setting('moment')::timestamptz)
       AND i.role = membership.role AND i.sees_prices = membership.sees_prices
       AND i.until_at IS NOT DISTINCT FROM membership.until_at
       AND membership.from_at >= COALESCE(i.from_at, '-infinity'))
);
CREATE POLICY membership_join_engaged ON membership FOR INSERT WITH CHECK (
  person_id = (SELECT rickyard.person()) AND confirmed_at IS NULL AND role = 'nutritionist' AND EXISTS (
    SELECT 1 FROM engagement e
     WHERE e.operation_id = membership.operation_id AND e.consultant_email = (SELECT rickyard.setting('own_email'))
       AND COALESCE(e.consultant_id, membership.person_id) = membership.person_id
       AND e.code_hash = (SELECT rickyard.setting('proof')) AND e.state = 'offered'
       AND e.expires_at > (SELECT rickyard.setting('moment')::timestamptz)
       AND e.sees_prices = membership.sees_prices AND e.until_at IS NOT DISTINCT FROM membership.until_at)
);
-- Leaving: anybody may end their own membership; rickyard.guard_membership() lets nothing else in the row change.
CREATE POLICY membership_leave ON membership FOR UPDATE
  USING (person_id = (SELECT rickyard.person()))
  WITH CHECK (person_id = (SELECT rickyard.person()) AND until_at IS NOT NULL
    AND until_at <= (SELECT rickyard.setting('moment')::timestamptz));

-- `audited_operation` is set when a non-member leaves a trace in an operation: a denied attempt, an acceptance.
CREATE POLICY membership_change_read ON membership_change FOR SELECT USING (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))) OR person_id = (SELECT rickyard.person())
);
CREATE POLICY membership_change_insert ON membership_change FOR INSERT WITH CHECK (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('read'))))
    OR operation_id = (SELECT rickyard.setting('audited_operation')::uuid)
);

CREATE POLICY invitation_read ON invitation FOR SELECT USING (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own'))))
    OR token_hash = (SELECT rickyard.setting('proof'))
    -- Only while those of one person are counted.
    OR ((SELECT rickyard.setting('counting_invitations')) = 'yes' AND invited_by = (SELECT rickyard.person()))
    -- Only within rickyard.stands_elsewhere().
    OR ((SELECT rickyard.setting('recovering')) = 'yes' AND email = (SELECT rickyard.setting('own_email')))
);
CREATE POLICY invitation_insert ON invitation FOR INSERT
  WITH CHECK (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))));
CREATE POLICY invitation_update ON invitation FOR UPDATE
  USING (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own'))))
    OR token_hash = (SELECT rickyard.setting('proof')))
  WITH CHECK (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own'))))
    OR token_hash = (SELECT rickyard.setting('proof')));

CREATE POLICY engagement_read ON engagement FOR SELECT USING (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own'))))
  OR consultant_id = (SELECT rickyard.person())
  -- Only within rickyard.stands_elsewhere().
  OR ((SELECT rickyard.setting('recovering')) = 'yes' AND consultant_email = (SELECT rickyard.setting('own_email')))
  OR (consultant_id IS NULL AND (consultant_email = (SELECT rickyard.setting('own_proven_email'))
      OR consultant_email = (SELECT rickyard.setting('own_email')) AND code_hash = (SELECT rickyard.setting('proof'))))
);
CREATE POLICY engagement_insert ON engagement FOR INSERT WITH CHECK (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own'))))
  -- One who joins by an invitation as nutritionist writes down the engagement that the invitation was.
  OR (consultant_id = (SELECT rickyard.person()) AND state = 'unconfirmed' AND EXISTS (
    SELECT 1 FROM invitation i WHERE i.operation_id = engagement.operation_id
      AND i.token_hash = (SELECT rickyard.setting('proof')) AND i.role = 'nutritionist'
      AND i.sees_prices = engagement.sees_prices))
);
CREATE POLICY engagement_update ON engagement FOR UPDATE
  USING (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own'))))
    OR consultant_id = (SELECT rickyard.person())
    OR (consultant_id IS NULL AND (consultant_email = (SELECT rickyard.setting('own_proven_email'))
      OR consultant_email = (SELECT rickyard.setting('own_email')) AND code_hash = (SELECT rickyard.setting('proof')))))
  WITH CHECK (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own'))))
    OR consultant_id = (SELECT rickyard.person())
    OR (consultant_id IS NULL AND (consultant_email = (SELECT rickyard.setting('own_proven_email'))
      OR consultant_email = (SELECT rickyard.setting('own_email')) AND code_hash = (SELECT rickyard.setting('proof')))));
-- Whoever settles ended engagements sees which ones are waiting, and nothing else of the operation.
CREATE POLICY engagement_lapsed ON engagement FOR SELECT USING (
  operation_id = (SELECT rickyard.setting('settling')::uuid) AND state = 'accepted'
    AND until_at <= (SELECT rickyard.setting('moment')::timestamptz)
);

-- The frozen copy is its consultant's; an owner may see that it exists and remove it.
CREATE POLICY engagement_archive_read ON engagement_archive FOR SELECT USING (
  consultant_id = (SELECT rickyard.person()) OR operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own'))))
);
CREATE POLICY engagement_archive_insert ON engagement_archive FOR INSERT WITH CHECK (
  consultant_id = (SELECT rickyard.person()) OR operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own'))))
);
CREATE POLICY engagement_archive_delete ON engagement_archive FOR DELETE
  USING (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))));

CREATE POLICY engagement_proposal_read ON engagement_proposal FOR SELECT USING (
  consultant_id = (SELECT rickyard.person()) OR owner_email = (SELECT rickyard.setting('own_proven_email'))
  OR (owner_email = (SELECT rickyard.setting('own_email')) AND code_hash = (SELECT rickyard.setting('proof')))
);
CREATE POLICY engagement_proposal_insert ON engagement_proposal FOR INSERT
  WITH CHECK (consultant_id = (SELECT rickyard.person()));
CREATE POLICY engagement_proposal_update ON engagement_proposal FOR UPDATE
  USING (consultant_id = (SELECT rickyard.person()) OR owner_email = (SELECT rickyard.setting('own_proven_email'))
    OR (owner_email = (SELECT rickyard.setting('own_email')) AND code_hash = (SELECT rickyard.setting('proof'))));

-- The key that is being presented right now, a person's own keys, and for owners every key of the operation.
CREATE POLICY api_key_read ON api_key FOR SELECT USING (
  id = (SELECT rickyard.setting('key_id')::uuid)
  OR created_by = (SELECT rickyard.person())
  OR operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own'))))
);
CREATE POLICY api_key_insert ON api_key FOR INSERT WITH CHECK (
  created_by = (SELECT rickyard.person()) AND (SELECT rickyard.setting('key_id')) IS NULL
    AND operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('read'))))
);
-- By a person, never by a key. What a key changes of itself is when it was used, before anybody has entered.
CREATE POLICY api_key_update ON api_key FOR UPDATE
  USING (
    CASE WHEN (SELECT rickyard.setting('key_id')) IS NULL
      THEN created_by = (SELECT rickyard.person())
        OR operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own'))))
      ELSE id = (SELECT rickyard.setting('key_id')::uuid) AND (SELECT rickyard.person()) IS NULL END
  );

CREATE POLICY person_key_read ON person_key FOR SELECT
  USING (person_id = (SELECT rickyard.person()) OR id = (SELECT rickyard.setting('key_id')::uuid));
CREATE POLICY person_key_insert ON person_key FOR INSERT
  WITH CHECK (person_id = (SELECT rickyard.person()) AND (SELECT rickyard.setting('key_id')) IS NULL);
CREATE POLICY person_key_update ON person_key FOR UPDATE
  USING (
    CASE WHEN (SELECT rickyard.setting('key_id')) IS NULL THEN person_id = (SELECT rickyard.person())
      ELSE id = (SELECT rickyard.setting('key_id')::uuid) AND (SELECT rickyard.person()) IS NULL END
  );

-- The tokens that show a session are looked up by it: a list of all tokens would be made for every request.
CREATE POLICY person_session_all ON person_session
  USING (person_id = (SELECT rickyard.person())
    OR EXISTS (SELECT 1 FROM session_token t WHERE t.session_id = person_session.id))
  WITH CHECK (person_id = (SELECT rickyard.person()));

-- A person's own, in person; failures are counted up and go in the end, what changed an account stays as written.
CREATE POLICY account_event_read ON account_event FOR SELECT
  USING (person_id = (SELECT rickyard.person()) AND (SELECT rickyard.setting('key_id')) IS NULL);
CREATE POLICY account_event_insert ON account_event FOR INSERT
  WITH CHECK (person_id = (SELECT rickyard.person()) OR person_id = (SELECT rickyard.setting('telling')::uuid));
CREATE POLICY account_event_update ON account_event FOR UPDATE
  USING (person_id = (SELECT rickyard.person()) AND kind LIKE '%-failed');
CREATE POLICY account_event_delete ON account_event FOR DELETE
  USING (person_id = (SELECT rickyard.person()) AND kind LIKE '%-failed');

-- A token row is visible to whoever holds the token (its hash is the proof) and to its person.
CREATE POLICY session_token_all ON session_token
  USING (
    access_hash = (SELECT rickyard.setting('proof'))
    OR refresh_hash = (SELECT rickyard.setting('proof'))
    OR person_id = (SELECT rickyard.person())
  )
  WITH CHECK (person_id = (SELECT rickyard.person()));

CREATE POLICY sign_in_attempt_all ON sign_in_attempt
  USING (subject_hash = ANY (string_to_array((SELECT rickyard.setting('subjects')), ',')))
  WITH CHECK (subject_hash = ANY (string_to_array((SELECT rickyard.setting('subjects')), ',')));
-- Attempts that count no longer, whoever made them, are there to be deleted: a hash and a moment tell nothing.
CREATE POLICY sign_in_attempt_old ON sign_in_attempt FOR SELECT
  USING (attempted_at < (SELECT rickyard.setting('moment'))::timestamptz - interval '12 hours');
CREATE POLICY sign_in_attempt_old_delete ON sign_in_attempt FOR DELETE
  USING (attempted_at < (SELECT rickyard.setting('moment'))::timestamptz - interval '12 hours');

-- What servers tell each other of callers who ask much: those that are being told, and whose window has ended.
CREATE POLICY request_count_all ON request_count
  USING (subject_hash = ANY (string_to_array((SELECT rickyard.setting('subjects')), ',')))
  WITH CHECK (subject_hash = ANY (string_to_array((SELECT rickyard.setting('subjects')), ',')));
CREATE POLICY request_count_ended ON request_count FOR SELECT
  USING (ends_at < (SELECT rickyard.setting('moment'))::timestamptz);
-- Held, so that two servers do not wait for each other in clearing away.
CREATE POLICY request_count_ended_held ON request_count FOR UPDATE
  USING (ends_at < (SELECT rickyard.setting('moment'))::timestamptz) WITH CHECK (false);
CREATE POLICY request_count_ended_delete ON request_count FOR DELETE
  USING (ends_at < (SELECT rickyard.setting('moment'))::timestamptz);

CREATE POLICY recovery_token_read ON recovery_token FOR SELECT USING (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own'))))
    OR token_hash = (SELECT rickyard.setting('proof'))
);
CREATE POLICY recovery_token_insert ON recovery_token FOR INSERT
  WITH CHECK (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))));
CREATE POLICY recovery_token_update ON recovery_token FOR UPDATE
  USING (token_hash = (SELECT rickyard.setting('proof')));
-- An owner who issues another ends those before it, and makes none good again.
CREATE POLICY recovery_token_ended ON recovery_token FOR UPDATE
  USING (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))) AND used_at IS NULL)
  WITH CHECK (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))) AND used_at IS NULL
    AND expires_at <= (SELECT rickyard.setting('moment')::timestamptz));

CREATE POLICY recovery_code_own ON recovery_code USING (person_id = (SELECT rickyard.person()))
  WITH CHECK (person_id = (SELECT rickyard.person()));
-- To one who shows the code: whose is it?
CREATE POLICY recovery_code_shown ON recovery_code FOR SELECT USING (code_hash = (SELECT rickyard.setting('proof')));
CREATE POLICY second_factor_own ON second_factor USING (person_id = (SELECT rickyard.person()))
  WITH CHECK (person_id = (SELECT rickyard.person()));

-- In person; what a passkey may do is decided when it is shown (its id is the proof), before anybody is known.
CREATE POLICY passkey_read ON passkey FOR SELECT USING (
  person_id = (SELECT rickyard.person()) OR credential_id = (SELECT rickyard.setting('proof'))
);
CREATE POLICY passkey_insert ON passkey FOR INSERT
  WITH CHECK (person_id = (SELECT rickyard.person()) AND (SELECT rickyard.setting('key_id')) IS NULL);
CREATE POLICY passkey_update ON passkey FOR UPDATE
  USING (person_id = (SELECT rickyard.person()) AND (SELECT rickyard.setting('key_id')) IS NULL);
-- A challenge that was answered is known by its hash; once it would have expired, anybody may clear it away.
CREATE POLICY spent_challenge_insert ON spent_challenge FOR INSERT
  WITH CHECK (challenge_hash = (SELECT rickyard.setting('proof')));
CREATE POLICY spent_challenge_read ON spent_challenge FOR SELECT
  USING (challenge_hash = (SELECT rickyard.setting('proof')));
CREATE POLICY spent_challenge_old ON spent_challenge FOR SELECT
  USING (expires_at < (SELECT rickyard.setting('moment'))::timestamptz);
CREATE POLICY spent_challenge_old_delete ON spent_challenge FOR DELETE
  USING (expires_at < (SELECT rickyard.setting('moment'))::timestamptz);

-- A link is its person's own, and goes to the address that they have now.
CREATE POLICY email_link_read ON email_link FOR SELECT USING (person_id = (SELECT rickyard.person()));
CREATE POLICY email_link_insert ON email_link FOR INSERT WITH CHECK (
  person_id = (SELECT rickyard.person()) AND (SELECT rickyard.setting('key_id')) IS NULL AND used_at IS NULL
    AND email = (SELECT p.email FROM person p WHERE p.id = rickyard.person())
);
CREATE POLICY email_link_update ON email_link FOR UPDATE USING (person_id = (SELECT rickyard.person()));
-- Mail is seen by the person it is about, and by the server while it sends (`mailing`).
CREATE POLICY mail_outbox_read ON mail_outbox FOR SELECT
  USING (person_id = (SELECT rickyard.person()) OR (SELECT rickyard.setting('mailing')) = 'yes');
CREATE POLICY mail_outbox_insert ON mail_outbox FOR INSERT WITH CHECK (person_id = (SELECT rickyard.person()));
CREATE POLICY mail_outbox_update ON mail_outbox FOR UPDATE
  USING (person_id = (SELECT rickyard.person()) OR (SELECT rickyard.setting('mailing')) = 'yes');
CREATE POLICY mail_outbox_delete ON mail_outbox FOR DELETE USING ((SELECT rickyard.setting('mailing')) = 'yes');

-- The schema's owner, who starts the server, sees which secrets are still in plain text or under a key that is not this
-- server's, for that step only.
DO $$
BEGIN
  EXECUTE format('CREATE POLICY second_factor_sealing ON second_factor TO %I '
    'USING (rickyard.setting(''sealing'') = ''yes'') WITH CHECK (rickyard.setting(''sealing'') = ''yes'')',
    current_user);
END $$;

CREATE POLICY audit_entry_read ON audit_entry FOR SELECT USING (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own'))))
  -- Adding a link needs the chain's last one (only within rickyard.chain_audit_entry).
  OR (rickyard.setting('chaining') = 'yes' AND (
    operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('read'))))
      OR operation_id = (SELECT rickyard.setting('audited_operation')::uuid)))
);
CREATE POLICY audit_entry_insert ON audit_entry FOR INSERT WITH CHECK (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('read'))))
    OR operation_id = (SELECT rickyard.setting('audited_operation')::uuid)
);

CREATE POLICY denied_attempt_read ON denied_attempt FOR SELECT USING (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own'))))
    OR operation_id = (SELECT rickyard.setting('audited_operation')::uuid)
);
CREATE POLICY denied_attempt_insert ON denied_attempt FOR INSERT
  WITH CHECK (operation_id = (SELECT rickyard.setting('audited_operation')::uuid));
CREATE POLICY denied_attempt_update ON denied_attempt FOR UPDATE
  USING (operation_id = (SELECT rickyard.setting('audited_operation')::uuid));

CREATE POLICY idempotency_record_all ON idempotency_record
  USING (actor = (SELECT rickyard.setting('actor')))
  WITH CHECK (actor = (SELECT rickyard.setting('actor')));

CREATE POLICY operation_deletion_read ON operation_deletion FOR SELECT
  USING (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))));
CREATE POLICY operation_deletion_insert ON operation_deletion FOR INSERT
  WITH CHECK (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))));
CREATE POLICY operation_deletion_update ON operation_deletion FOR UPDATE
  USING (operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('own')))));

CREATE POLICY erased_operation_read ON erased_operation FOR SELECT USING (
  requested_by = (SELECT rickyard.person()) OR confirmed_by = (SELECT rickyard.person())
);
-- Written only inside rickyard_erasure.erase_operation(), which sets `erasing` and runs as the schema's owner.
CREATE POLICY erased_operation_insert ON erased_operation FOR INSERT
  WITH CHECK (id = (SELECT rickyard.setting('erasing')::uuid));

-- Whoever may correct the books must reverse money that they may not see: the rows are visible to them within a
-- reversal only.
DROP POLICY stock_cost_read ON stock_cost;
CREATE POLICY stock_cost_read ON stock_cost FOR SELECT USING (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('prices'))))
  OR (rickyard.setting('reversing') = 'yes'
    AND operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('records')))))
);

-- What was confirmed of a price tells the price.
DROP POLICY confirmed_entry_read ON confirmed_entry;
CREATE POLICY confirmed_entry_read ON confirmed_entry FOR SELECT USING (
  operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('prices'))))
  OR (NOT about_money AND operation_id = ANY (ARRAY(SELECT unnest(rickyard.operations('read')))))
);
