import { Module } from '@nestjs/common';
import { APP_GUARD } from '@nestjs/core';
import { AccountController } from './account/account.controller.js';
import { AccountEventRead } from './account/account-event.read.js';
import { AccountEventStore } from './account/account-event.store.js';
import { AccountService } from './account/account.service.js';
import { SelfProof } from './account/self-proof.js';
import { ApiKeyController } from './api-keys/api-key.controller.js';
import { ApiKeyRead } from './api-keys/api-key.read.js';
import { OwnKeysService } from './api-keys/own-keys.service.js';
import { ApiKeyService } from './api-keys/api-key.service.js';
import { ApiKeyStore } from './api-keys/api-key.store.js';
import { AuditController } from './audit/audit.controller.js';
import { AuditRead } from './audit/audit.read.js';
import { AuditService } from './audit/audit.service.js';
import { AuditStore } from './audit/audit.store.js';
import { ArchiveRead } from './data-rights/archive.read.js';
import { DataRightsController } from './data-rights/data-rights.controller.js';
import { DataRightsService } from './data-rights/data-rights.service.js';
import { DeletionRead } from './data-rights/deletion.read.js';
import { OwnersArchive } from './data-rights/owners-archive.js';
import { DeletionStore } from './data-rights/deletion.store.js';
import { DenialRecorder } from './denials/denial-recorder.store.js';
import { EmailController } from './email/email.controller.js';
import { EmailLinkRead } from './email/email-link.read.js';
import { EmailLinkStore } from './email/email-link.store.js';
import { EmailService } from './email/email.service.js';
import { EngagementArchive } from './engagements/engagement-archive.store.js';
import { EngagementController } from './engagements/engagement.controller.js';
import { EngagementLapse } from './engagements/engagement-lapse.store.js';
import { EngagementRead } from './engagements/engagement.read.js';
import { EngagementService } from './engagements/engagement.service.js';
import { EngagementStore } from './engagements/engagement.store.js';
import { ProposalRead } from './engagements/proposal.read.js';
import { ProposalStore } from './engagements/proposal.store.js';
import { AccessGuard } from './guard/access.guard.js';
import { InvitationController } from './invitations/invitation.controller.js';
import { InvitationRead } from './invitations/invitation.read.js';
import { InvitationService } from './invitations/invitation.service.js';
import { InvitationStore } from './invitations/invitation.store.js';
import { MailOutboxStore } from './mail/mail-outbox.store.js';
import { MailSender } from './mail/mail-sender.js';
import { MembershipController } from './memberships/membership.controller.js';
import { MembershipRead } from './memberships/membership.read.js';
import { MembershipService } from './memberships/membership.service.js';
import { MembershipStore } from './memberships/membership.store.js';
import { KnownDevices } from './sign-in/known-devices.js';
import { Challenges } from './passkeys/challenges.js';
import { PasskeyController } from './passkeys/passkey.controller.js';
import { PasskeyProof } from './passkeys/passkey-proof.js';
import { PasskeyRead } from './passkeys/passkey.read.js';
import { PasskeyService } from './passkeys/passkey.service.js';
import { PasskeyStore } from './passkeys/passkey.store.js';
import { PasskeyVerifier } from './passkeys/passkey-verifier.js';
import { SpentChallengeStore } from './passkeys/spent-challenge.store.js';
import { PersonRead } from './people/person.read.js';
import { PersonStore } from './people/person.store.js';
import { PersonKeyController } from './person-keys/person-key.controller.js';
import { PersonKeyRead } from './person-keys/person-key.read.js';
import { PersonKeyService } from './person-keys/person-key.service.js';
import { PersonKeyStore } from './person-keys/person-key.store.js';
import { RecoveryCodeStore } from './recovery/recovery-code.store.js';
import { RecoveryTokenStore } from './recovery/recovery-token.store.js';
import { RecoveryService } from './recovery/recovery.service.js';
import { FirstFactor } from './second-factor/first-factor.js';
import { LastFactor } from './second-factor/last-factor.js';
import { SecondFactorStore } from './second-factor/second-factor.store.js';
import { Attempts } from './sign-in/attempts.js';
import { SessionRead } from './sign-in/session.read.js';
import { SessionStore } from './sign-in/session.store.js';
import { SignInController } from './sign-in/sign-in.controller.js';
import { SignInService } from './sign-in/sign-in.service.js';
import { SignInStore } from './sign-in/sign-in.store.js';

/** Who people are, where they belong, what keys they made, what they did. Every request passes the guard here. */
@Module({
  controllers: [
    SignInController,
    AccountController,
    EmailController,
    PasskeyController,
    PersonKeyController,
    ApiKeyController,
    MembershipController,
    InvitationController,
    EngagementController,
    AuditController,
    DataRightsController,
  ],
  providers: [
    SignInService,
    SignInStore,
    SessionRead,
    SessionStore,
    Attempts,
    SecondFactorStore,
    AccountService,
    SelfProof,
    FirstFactor,
    LastFactor,
    EmailService,
    Challenges,
    KnownDevices,
    PasskeyProof,
    PasskeyRead,
    PasskeyService,
    PasskeyStore,
    PasskeyVerifier,
    SpentChallengeStore,
    EmailLinkRead,
    EmailLinkStore,
    MailOutboxStore,
    MailSender,
    AccountEventRead,
    AccountEventStore,
    OwnKeysService,
    RecoveryService,
    RecoveryTokenStore,
    RecoveryCodeStore,
    PersonKeyService,
    PersonKeyRead,
    PersonKeyStore,
    ApiKeyService,
    ApiKeyRead,
    ApiKeyStore,
    PersonRead,
    PersonStore,
    MembershipService,
    MembershipRead,
    MembershipStore,
    InvitationService,
    InvitationRead,
    InvitationStore,
    EngagementService,
    EngagementRead,
    EngagementStore,
    ProposalRead,
    ProposalStore,
    EngagementArchive,
    EngagementLapse,
    AuditService,
    AuditRead,
    AuditStore,
    ArchiveRead,
    OwnersArchive,
    DataRightsService,
    DeletionRead,
    DeletionStore,
    DenialRecorder,
    { provide: APP_GUARD, useClass: AccessGuard },
  ],
  exports: [PersonStore, MembershipStore, SignInService, AccountService, EmailService, PasskeyService, MailSender],
})
export class AccessModule {}
