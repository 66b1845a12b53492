import { Module } from '@nestjs/common';
import { RanchModule } from '../ranches/ranch.module.js';
import { Reversals } from '../../kit/reversal.store.js';
import { WeatherDayController } from './weather-day.controller.js';
import { WeatherDayRead } from './weather-day.read.js';
import { WeatherDayService } from './weather-day.service.js';
import { WeatherDayStore } from './weather-day.store.js';

@Module({
  imports: [RanchModule],
  controllers: [WeatherDayController],
  providers: [WeatherDayService, WeatherDayRead, WeatherDayStore, Reversals],
  exports: [WeatherDayRead, WeatherDayService],
})
export class WeatherDayModule {}
