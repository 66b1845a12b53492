-- Where a key was last used from, so that its owner sees a use that is not theirs.
ALTER TABLE api_key ADD COLUMN last_used_from TEXT;
ALTER TABLE person_key ADD COLUMN last_used_from TEXT;
