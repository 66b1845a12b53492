-- Which operation vouched for the account that a mail is about: what one address gets is counted apart for each.
ALTER TABLE "mail_outbox" ADD COLUMN "vouched_by" UUID;
