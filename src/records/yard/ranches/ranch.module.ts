import { Module } from '@nestjs/common';
import { PlaceRead } from './place.read.js';
import { PlaceStore } from './place.store.js';
import { RanchController } from './ranch.controller.js';
import { RanchRead } from './ranch.read.js';
import { RanchService } from './ranch.service.js';
import { RanchStore } from './ranch.store.js';

@Module({
  controllers: [RanchController],
  providers: [RanchService, RanchRead, RanchStore, PlaceRead, PlaceStore],
  exports: [RanchService, RanchRead, PlaceRead],
})
export class RanchModule {}
