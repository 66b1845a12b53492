export { animalOfHerd } from '../../records/cattle/herds/animal-of-herd.js';
