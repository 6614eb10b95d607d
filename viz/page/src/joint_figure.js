// The joint under load as a figure of the page.
import { element, figure } from './dom.js';
import { clampedBelow, JointPicture } from './joint_picture.js';
import { save, svgText } from './plot.js';

/** The picture as a file of its own: its colours are no longer those of the page. */
function standalone(svg) {
  const style = getComputedStyle(document.documentElement);
  return svgText(svg).replace(/var\((--[a-z0-9-]+)\)/g, (all, name) => style.getPropertyValue(name).trim());
}

/** Joint under load, with its export and its caption, which explains the signs unless `brief`: show(row, named points of the row, largest
 *  force that shares the scale). */
export function jointFigure(shapes, { surface: scanned, limb }, brief = false) {
  const picture = new JointPicture(shapes);
  const scale = element('figcaption', {});
  const node = element('figure', { class: 'joint' }, picture.svg,
    element('div', { class: 'tools' }, element('button', { type: 'button', onclick: () => save('joint.svg', standalone(picture.svg), 'image/svg+xml') }, 'Save as SVG')), scale);
  return { node, clear() {
    picture.svg.replaceChildren();
    picture.svg.setAttribute('aria-label', 'No pose was found');
    scale.textContent = 'No pose was found here, so nothing is drawn.';
  }, show(row, points, largest) {
    picture.show({ row, points, largest });
    const short = `Arrows below ${figure(clampedBelow(largest), 2)} N are all drawn at one length; the scale, bottom left,`;
    scale.textContent = brief ? `Forces as in the drawing above. ${short} holds for all postures.` : `Forces on the tibia, seen from the inner side; front of the dog to the left${limb === 'left' ? ' (drawn as a right limb; the tables are the same for both)' : ''}. Hollow arrow: thrust. Contact: the thigh bone pressing on the plateau; calcanean share: the part of the heel muscles that starts on the tibia; capsule: the wall of the joint. ${short} holds for this activity. Bone outlines are a sketch${scanned ? ' of the standard bone, not of the scan' : ''}; places and forces are computed.`;
  } };
}
