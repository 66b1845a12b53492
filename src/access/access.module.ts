import { Module } from '@nestjs/common';
import { APP_GUARD } from '@nestjs/core';
import { ApiKeyController } from './api-keys/api-key.controller.js';
import { ApiKeyService } from './api-keys/api-key.service.js';
import { ApiKeyStore } from './api-keys/api-key.store.js';
import { AccessGuard } from './guard/access.guard.js';
import { MembershipStore } from './memberships/membership.store.js';
import { PersonStore } from './people/person.store.js';
import { SignInController } from './sign-in/sign-in.controller.js';
import { SignInService } from './sign-in/sign-in.service.js';
import { SignInStore } from './sign-in/sign-in.store.js';

/** Who people are, where they belong, what keys they made. Every request passes the guard here. */
@Module({
  controllers: [SignInController, ApiKeyController],
  providers: [SignInService, SignInStore, ApiKeyService, ApiKeyStore, PersonStore, MembershipStore, { provide: APP_GUARD, useClass: AccessGuard }],
  exports: [PersonStore, MembershipStore],
})
export class AccessModule {}
