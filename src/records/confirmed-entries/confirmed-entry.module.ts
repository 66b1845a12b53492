import { Module } from '@nestjs/common';
import { ConfirmedEntryController } from './confirmed-entry.controller.js';
import { ConfirmedEntryRead } from './confirmed-entry.read.js';

@Module({ controllers: [ConfirmedEntryController], providers: [ConfirmedEntryRead] })
export class ConfirmedEntryModule {}
