import { Module } from '@nestjs/common';
import { Reversals } from '../reversals.js';
import { WeatherDayController } from './weather-day.controller.js';
import { WeatherDayRead } from './weather-day.read.js';
import { WeatherDayService } from './weather-day.service.js';

@Module({ controllers: [WeatherDayController], providers: [WeatherDayService, WeatherDayRead, Reversals], exports: [WeatherDayRead, WeatherDayService] })
export class WeatherDayModule {}
