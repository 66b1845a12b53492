import { Module } from '@nestjs/common';
import { AccessModule } from '../../access/access.module.js';
import { AccountPageController } from './account.controller.js';

/** What people do about their own account with a browser. */
@Module({ imports: [AccessModule], controllers: [AccountPageController] })
export class AccountPageModule {}
