import { Module } from '@nestjs/common';
import { TrialModule } from '../../desk/trials/trial.module.js';
import { TrialPageController } from './trial-page.controller.js';

@Module({ imports: [TrialModule], controllers: [TrialPageController] })
export class TrialPageModule {}
