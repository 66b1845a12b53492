export { animalOfHerd } from '../../records/herds/animal-of-herd.js';
