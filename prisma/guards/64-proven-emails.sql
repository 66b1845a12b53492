-- An address is proven by its person, signed in, with the token of a link that was mailed to it, and by nothing else;
-- with another address nothing is proven.
CREATE OR REPLACE FUNCTION rickyard.guard_proven_email() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF NEW.email <> OLD.email THEN
    NEW.email_proven_at := NULL;
  ELSIF NEW.email_proven_at IS DISTINCT FROM OLD.email_proven_at AND NEW.email_proven_at IS NOT NULL
    AND NOT EXISTS (
      SELECT 1 FROM email_link l
       WHERE l.person_id = NEW.id AND l.email = NEW.email AND l.token_hash = rickyard.setting('proof')
         AND l.used_at = rickyard.setting('moment')::timestamptz) THEN
    RAISE EXCEPTION 'an address is proven by a link that was sent to it' USING ERRCODE = 'RY051';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER person_email_guard BEFORE UPDATE ON person FOR EACH ROW
  EXECUTE FUNCTION rickyard.guard_proven_email();

-- A link is good once, while it has not expired.
CREATE OR REPLACE FUNCTION rickyard.guard_email_link() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF OLD.used_at IS NOT NULL OR NEW.expires_at > OLD.expires_at OR (NEW.used_at IS NOT NULL
    AND (NEW.used_at IS DISTINCT FROM rickyard.setting('moment')::timestamptz OR OLD.expires_at <= NEW.used_at)) THEN
    RAISE EXCEPTION 'a link is good once, until it expires' USING ERRCODE = 'RY051';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER email_link_guard BEFORE UPDATE ON email_link FOR EACH ROW EXECUTE FUNCTION rickyard.guard_email_link();
