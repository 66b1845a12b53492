-- What happens to an account is told to its person, by whatever road it came about: it is written where the rows of
-- sessions, factors, keys and passphrases change. Failed attempts change no row; the server writes those.
CREATE OR REPLACE FUNCTION rickyard.tell_person(the_person uuid, the_kind text, the_address text, the_subject uuid)
RETURNS void LANGUAGE plpgsql AS $$
BEGIN
  PERFORM set_config('rickyard.telling', the_person::text, true);
  INSERT INTO account_event (person_id, happened_at, kind, address, subject_id)
  VALUES (the_person, COALESCE(rickyard.setting('moment')::timestamptz, clock_timestamp()), the_kind, the_address,
    the_subject);
  PERFORM set_config('rickyard.telling', '', true);
END $$;

-- Who has one address of an IPv6 /64 has all of them (RFC 4291, 2.5.1).
CREATE OR REPLACE FUNCTION rickyard.network_of(address text) RETURNS text LANGUAGE plpgsql STABLE AS $$
BEGIN
  RETURN CASE WHEN family(address::inet) = 6 THEN network(set_masklen(address::inet, 64))::text ELSE address END;
EXCEPTION WHEN invalid_text_representation THEN
  RETURN address;
END $$;

CREATE OR REPLACE FUNCTION rickyard.tell_of_session() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
  other_places text[];
BEGIN
  -- The moment of a sign-in is the session's: nobody has entered yet.
  PERFORM set_config('rickyard.moment', COALESCE(rickyard.setting('moment'), NEW.created_at::text), true);
  SELECT array_agg(DISTINCT rickyard.network_of(s.address)) INTO other_places
    FROM person_session s WHERE s.person_id = NEW.person_id AND s.id <> NEW.id AND s.address IS NOT NULL;
  PERFORM rickyard.tell_person(NEW.person_id,
    CASE WHEN NOT (rickyard.network_of(NEW.address) = ANY (other_places)) THEN 'signed-in-from-new-address'
      ELSE 'signed-in' END, NEW.address, NEW.id);
  RETURN NULL;
END $$;
CREATE TRIGGER person_session_told AFTER INSERT ON person_session FOR EACH ROW
  EXECUTE FUNCTION rickyard.tell_of_session();

CREATE OR REPLACE FUNCTION rickyard.tell_of_account() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  CASE TG_ARGV[0]
    WHEN 'passphrase-changed', 'email-changed', 'email-proven' THEN
      PERFORM rickyard.tell_person(NEW.id, TG_ARGV[0], NULL, NULL);
    WHEN 'passkey-added', 'passkey-ended', 'passkey-count-fell' THEN
      PERFORM rickyard.tell_person(NEW.person_id, TG_ARGV[0], NULL, NEW.id);
    WHEN 'second-factor-removed' THEN PERFORM rickyard.tell_person(OLD.person_id, TG_ARGV[0], NULL, NULL);
    WHEN 'key-made', 'key-ended' THEN
      PERFORM rickyard.tell_person(
        COALESCE(to_jsonb(NEW) ->> 'created_by', to_jsonb(NEW) ->> 'person_id')::uuid, TG_ARGV[0], NULL, NEW.id);
    ELSE PERFORM rickyard.tell_person(NEW.person_id, TG_ARGV[0], NULL, NULL);
  END CASE;
  RETURN NULL;
END $$;
-- With another address the same passphrase is hashed anew (accounts of one address share their salt).
CREATE TRIGGER person_passphrase_told AFTER UPDATE ON person FOR EACH ROW
  WHEN (OLD.passphrase_hash IS DISTINCT FROM NEW.passphrase_hash AND OLD.email = NEW.email)
  EXECUTE FUNCTION rickyard.tell_of_account('passphrase-changed');
CREATE TRIGGER person_email_told AFTER UPDATE ON person FOR EACH ROW WHEN (OLD.email <> NEW.email)
  EXECUTE FUNCTION rickyard.tell_of_account('email-changed');
CREATE TRIGGER person_email_proven_told AFTER UPDATE ON person FOR EACH ROW
  WHEN (OLD.email_proven_at IS NULL AND NEW.email_proven_at IS NOT NULL)
  EXECUTE FUNCTION rickyard.tell_of_account('email-proven');
CREATE TRIGGER passkey_added_told AFTER INSERT ON passkey FOR EACH ROW
  EXECUTE FUNCTION rickyard.tell_of_account('passkey-added');
CREATE TRIGGER passkey_ended_told AFTER UPDATE ON passkey FOR EACH ROW
  WHEN (OLD.ended_at IS NULL AND NEW.ended_at IS NOT NULL)
  EXECUTE FUNCTION rickyard.tell_of_account('passkey-ended');
CREATE TRIGGER passkey_count_fell_told AFTER UPDATE ON passkey FOR EACH ROW
  WHEN (NEW.count_fell_at IS NOT NULL AND OLD.count_fell_at IS DISTINCT FROM NEW.count_fell_at)
  EXECUTE FUNCTION rickyard.tell_of_account('passkey-count-fell');
CREATE TRIGGER second_factor_confirmed_told AFTER UPDATE ON second_factor FOR EACH ROW
  WHEN (OLD.confirmed_at IS NULL AND NEW.confirmed_at IS NOT NULL)
  EXECUTE FUNCTION rickyard.tell_of_account('second-factor-added');
CREATE TRIGGER second_factor_removed_told AFTER DELETE ON second_factor FOR EACH ROW
  WHEN (OLD.confirmed_at IS NOT NULL) EXECUTE FUNCTION rickyard.tell_of_account('second-factor-removed');
CREATE TRIGGER recovery_code_used_told AFTER UPDATE ON recovery_code FOR EACH ROW
  WHEN (OLD.used_at IS NULL AND NEW.used_at IS NOT NULL)
  EXECUTE FUNCTION rickyard.tell_of_account('recovery-code-used');
CREATE TRIGGER api_key_made_told AFTER INSERT ON api_key FOR EACH ROW
  EXECUTE FUNCTION rickyard.tell_of_account('key-made');
CREATE TRIGGER api_key_ended_told AFTER UPDATE ON api_key FOR EACH ROW
  WHEN (OLD.revoked_at IS NULL AND NEW.revoked_at IS NOT NULL)
  EXECUTE FUNCTION rickyard.tell_of_account('key-ended');
CREATE TRIGGER person_key_made_told AFTER INSERT ON person_key FOR EACH ROW
  EXECUTE FUNCTION rickyard.tell_of_account('key-made');
CREATE TRIGGER person_key_ended_told AFTER UPDATE ON person_key FOR EACH ROW
  WHEN (OLD.revoked_at IS NULL AND NEW.revoked_at IS NOT NULL)
  EXECUTE FUNCTION rickyard.tell_of_account('key-ended');
-- Codes are made ten at a time.
CREATE OR REPLACE FUNCTION rickyard.tell_of_codes() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  PERFORM rickyard.tell_person(m.person_id, 'recovery-codes-made', NULL, NULL)
    FROM (SELECT DISTINCT made.person_id FROM made) AS m;
  RETURN NULL;
END $$;
CREATE TRIGGER recovery_code_made_told AFTER INSERT ON recovery_code REFERENCING NEW TABLE AS made
  FOR EACH STATEMENT EXECUTE FUNCTION rickyard.tell_of_codes();
