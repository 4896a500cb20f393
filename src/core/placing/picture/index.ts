/**
 * What a photo shows, as pixels: markers, the cloth at true scale, edges and stripes, and what the file says of itself.
 * Plain arrays in and out; px of the upright photo as in ../points. It knows no design and no rule: those are the other
 * door's. Units, models and sources stand at the head of each file.
 */
export { clothHomography } from "./cloth-map";
export { pictureFacts, type PictureFacts } from "./exif";
export { findMarkers, type FoundMarker } from "./find-markers";
export { alreadyTurned, turnedUpright } from "./orientation";
export { greyOf, type GreyPicture, type RgbaPicture } from "./pixels";
export { type AreaMm, rectifiedSize, rectify } from "./rectify";
export { type SnappedLine, snapLine } from "./snap";
export { textureDirection, type TextureDirection, type TextureRefusal } from "./texture";
