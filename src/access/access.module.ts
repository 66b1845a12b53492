import { Module } from '@nestjs/common';
import { APP_GUARD } from '@nestjs/core';
import { AccountController } from './account/account.controller.js';
import { AccountService } from './account/account.service.js';
import { ApiKeyController } from './api-keys/api-key.controller.js';
import { ApiKeyService } from './api-keys/api-key.service.js';
import { ApiKeyStore } from './api-keys/api-key.store.js';
import { AuditController } from './audit/audit.controller.js';
import { AuditService } from './audit/audit.service.js';
import { ArchiveRead } from './data-rights/archive.read.js';
import { DataRightsController } from './data-rights/data-rights.controller.js';
import { DataRightsService } from './data-rights/data-rights.service.js';
import { DenialRecorder } from './denials/denial.recorder.js';
import { EngagementArchive } from './engagements/engagement.archive.js';
import { EngagementController } from './engagements/engagement.controller.js';
import { EngagementLapse } from './engagements/engagement.lapse.js';
import { EngagementService } from './engagements/engagement.service.js';
import { AccessGuard } from './guard/access.guard.js';
import { InvitationController } from './invitations/invitation.controller.js';
import { InvitationService } from './invitations/invitation.service.js';
import { MembershipController } from './memberships/membership.controller.js';
import { MembershipService } from './memberships/membership.service.js';
import { MembershipStore } from './memberships/membership.store.js';
import { PersonStore } from './people/person.store.js';
import { PersonKeyController } from './person-keys/person-key.controller.js';
import { PersonKeyService } from './person-keys/person-key.service.js';
import { RecoveryService } from './recovery/recovery.service.js';
import { SecondFactorStore } from './second-factor/second-factor.store.js';
import { Attempts } from './sign-in/attempts.js';
import { SignInController } from './sign-in/sign-in.controller.js';
import { SignInService } from './sign-in/sign-in.service.js';
import { SignInStore } from './sign-in/sign-in.store.js';

/** Who people are, where they belong, what keys they made, what they did. Every request passes the guard here. */
@Module({
  controllers: [SignInController, AccountController, PersonKeyController, ApiKeyController, MembershipController, InvitationController, EngagementController, AuditController, DataRightsController],
  providers: [
    SignInService, SignInStore, Attempts, SecondFactorStore, AccountService, RecoveryService, PersonKeyService, ApiKeyService, ApiKeyStore, PersonStore, MembershipStore, MembershipService, InvitationService,
    EngagementService, EngagementArchive, EngagementLapse, AuditService, ArchiveRead, DataRightsService, DenialRecorder, { provide: APP_GUARD, useClass: AccessGuard },
  ],
  exports: [PersonStore, MembershipStore, SignInService],
})
export class AccessModule {}
