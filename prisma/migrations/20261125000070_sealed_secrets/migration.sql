-- The secret of a generator of one-time codes is kept under a key that this database does not hold (src/platform/secrets). No row can be
-- written in plain any more. Rows of earlier releases are sealed at the next start, which then has this constraint validated.
ALTER TABLE second_factor ADD CONSTRAINT second_factor_sealed
  CHECK (secret ~ '^sealed1\.[0-9a-f]{16}\.[A-Za-z0-9_-]{16}\.[A-Za-z0-9_-]{23,}$') NOT VALID;

-- The schema's owner, who starts the server, sees which rows still are in plain, or under a key that is not this server's: for that step only.
DO $$
BEGIN
  EXECUTE format('CREATE POLICY second_factor_sealing ON second_factor TO %I USING (rickyard.setting(''sealing'') = ''yes'') WITH CHECK (rickyard.setting(''sealing'') = ''yes'')', current_user);
END $$;
