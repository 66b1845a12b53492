-- An email that nobody has proven is nobody's alone: several accounts may name it, and none learns of another.
DROP INDEX "person_email_key";
CREATE INDEX "person_email_idx" ON "person"("email");
CREATE INDEX "recovery_code_code_hash_idx" ON "recovery_code"("code_hash");
