-- Old attempts of anybody are found to be deleted.
CREATE INDEX "sign_in_attempt_attempted_at_idx" ON "sign_in_attempt"("attempted_at");
