// Colours as they stand in the legend, darker where the surface turns away; light is worked out at the corners, which a processor draws fast.
import { FrontSide, ShaderMaterial, Color } from 'three';

const vertexShader = `
#include <clipping_planes_pars_vertex>
uniform vec3 tint;
uniform float tinted;
varying vec3 shade;
void main() {
  #include <begin_vertex>
  #include <project_vertex>
  #include <clipping_planes_vertex>
  float light = 0.55 + 0.45 * abs(dot(normalize(normalMatrix * normal), normalize(mvPosition.xyz)));
  shade = mix(color, tint, tinted) * light;
}`;
const fragmentShader = `
#include <clipping_planes_pars_fragment>
uniform float opacity;
varying vec3 shade;
void main() {
  #include <clipping_planes_fragment>
  gl_FragColor = vec4(shade, opacity);
}`;

/** Only faces towards the eye: at borders two parts share a face, and one of the two is turned away. */
export function surfaceMaterial() {
  return new ShaderMaterial({ vertexShader, fragmentShader, vertexColors: true, clipping: true, side: FrontSide,
    uniforms: { tint: { value: new Color().setRGB(0.90, 0.85, 0.74) }, tinted: { value: 0 }, opacity: { value: 1 } } });
}
