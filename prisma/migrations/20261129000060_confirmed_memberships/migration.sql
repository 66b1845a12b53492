-- A membership opens nothing before an owner has confirmed who accepted it. Those that are there already were in force:
-- they are confirmed as of this migration.
ALTER TABLE membership
  ADD COLUMN confirmed_at TIMESTAMPTZ(6) DEFAULT now(),
  ADD COLUMN confirmed_by UUID;
ALTER TABLE membership ALTER COLUMN confirmed_at DROP DEFAULT;

-- What an owner confirms by: since when there is such an account, who vouched for it, whether its email is proven.
ALTER TABLE person
  ADD COLUMN email_proven_at TIMESTAMPTZ(6),
  ADD COLUMN vouched_by_operation UUID,
  ADD COLUMN vouched_by_name TEXT,
  ADD COLUMN vouched_at TIMESTAMPTZ(6),
  ADD COLUMN operations_opened INTEGER NOT NULL DEFAULT 0;
ALTER TABLE invitation ADD COLUMN operation_name TEXT;
ALTER TABLE recovery_token ADD COLUMN operation_name TEXT;

-- The code that an owner hands to the consultant, by a road other than this server.
ALTER TABLE engagement ADD COLUMN code_hash TEXT;

-- When the person last gave the passphrase or a one-time code in a session.
ALTER TABLE person_session ADD COLUMN proven_at TIMESTAMPTZ(6);
