-- A sheet may be fed to a herd that was fed on that day before, where the hand says that this is a second feeding.
ALTER TABLE feed_sheet_confirmation ADD COLUMN additional BOOLEAN NOT NULL DEFAULT false;
