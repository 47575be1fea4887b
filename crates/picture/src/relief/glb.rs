//! A solid as binary glTF 2.0: one mesh.
//!
//! glTF's unit is the metre and its y points up. The mesh keeps millimetres and z up; its node scales by 0.001 and
//! turns it, so a reader that honours nodes gets metres, one that takes the bare mesh gets millimetres. The asset's
//! `extras` say so, and where the untouched face lies: `face_mm` above the back of a `slab`; from the axis of a
//! `wall`, `face_mm` at its rim and `foot_mm` at its foot. Source: glTF 2.0 specification (Khronos), sections on GLB, units and accessors; from memory.

use super::ReliefError;
use super::mesh::{Form, Solid};

/// Writes a solid.
///
/// # Errors
/// [`ReliefError::TooLarge`] beyond 4 GiB, what the format holds.
pub fn write(solid: &Solid) -> Result<Vec<u8>, ReliefError> {
    let (places, corners) = (12 * solid.vertices.len(), 12 * solid.triangles.len());
    let mut json = json(solid, places, corners).into_bytes();
    json.resize(json.len().next_multiple_of(4), b' ');
    let whole = HEADER + CHUNK + json.len() + CHUNK + places + corners;
    let size = |bytes: usize| u32::try_from(bytes).map_err(|_| ReliefError::TooLarge { most: u32::MAX.into() });
    let mut bytes = Vec::with_capacity(whole);
    bytes.extend_from_slice(b"glTF");
    bytes.extend_from_slice(&2u32.to_le_bytes());
    bytes.extend_from_slice(&size(whole)?.to_le_bytes());
    bytes.extend_from_slice(&size(json.len())?.to_le_bytes());
    bytes.extend_from_slice(b"JSON");
    bytes.extend_from_slice(&json);
    bytes.extend_from_slice(&size(places + corners)?.to_le_bytes());
    bytes.extend_from_slice(b"BIN\0");
    solid.vertices.iter().flatten().for_each(|number| bytes.extend_from_slice(&number.to_le_bytes()));
    solid.triangles.iter().flatten().for_each(|number| bytes.extend_from_slice(&number.to_le_bytes()));
    Ok(bytes)
}

const HEADER: usize = 12;
const CHUNK: usize = 8;

fn json(solid: &Solid, places: usize, corners: usize) -> String {
    let end = |pick: fn(f32, f32) -> f32, from: f32| {
        let fold = |ends: [f32; 3], v: &[f32; 3]| std::array::from_fn(|i| pick(ends[i], v[i]));
        let [x, y, z] = solid.vertices.iter().fold([from; 3], fold);
        format!("[{x},{y},{z}]")
    };
    let (least, most) = (end(f32::min, f32::MAX), end(f32::max, f32::MIN));
    // A slab's face lies at one height; that of a wall at a radius that changes from foot to rim.
    let (form, face_mm, foot_mm) = match solid.form {
        Form::Slab { face_mm } => ("slab", face_mm, face_mm),
        Form::Wall { rim_mm, foot_mm, .. } => ("wall", rim_mm, foot_mm),
    };
    let (vertices, numbers) = (solid.vertices.len(), 3 * solid.triangles.len());
    format!(
        r#"{{"asset":{{"version":"2.0","generator":"sabulo","extras":{{"mesh_unit":"millimetre","form":"{form}","face_mm":{face_mm},"foot_mm":{foot_mm},"note":"The node scales the mesh by 0.001 to metres and turns its z up into y up."}}}},"scene":0,"scenes":[{{"nodes":[0]}}],"nodes":[{{"name":"piece","mesh":0,"scale":[0.001,0.001,0.001],"rotation":[-0.70710678,0,0,0.70710678]}}],"meshes":[{{"name":"piece","primitives":[{{"attributes":{{"POSITION":0}},"indices":1}}]}}],"accessors":[{{"bufferView":0,"componentType":5126,"count":{vertices},"type":"VEC3","min":{least},"max":{most}}},{{"bufferView":1,"componentType":5125,"count":{numbers},"type":"SCALAR"}}],"bufferViews":[{{"buffer":0,"byteOffset":0,"byteLength":{places},"target":34962}},{{"buffer":0,"byteOffset":{places},"byteLength":{corners},"target":34963}}],"buffers":[{{"byteLength":{}}}]}}"#,
        places + corners
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::relief::mesh::{SolidOptions, solid, tests::relief};
    use piece::Side;

    #[test]
    fn the_file_read_back_by_its_layout_is_the_solid() {
        let solid = solid(&relief(Side::Front, 12.0, 8.0), &SolidOptions::default()).unwrap();
        let bytes = write(&solid).unwrap();
        let word = |at: usize| u32::from_le_bytes(bytes[at..at + 4].try_into().unwrap()) as usize;
        assert_eq!((&bytes[..4], word(4), word(8)), (b"glTF".as_slice(), 2, bytes.len()));
        let json_length = word(12);
        assert_eq!((json_length % 4, &bytes[16..20]), (0, b"JSON".as_slice()));
        let json: serde_json::Value = serde_json::from_slice(&bytes[20..20 + json_length]).unwrap();
        let bin = 20 + json_length;
        assert_eq!((&bytes[bin + 4..bin + 8], word(bin)), (b"BIN\0".as_slice(), bytes.len() - bin - 8));
        assert_eq!(json["asset"]["extras"]["mesh_unit"], "millimetre");
        assert_eq!(
            (&json["asset"]["extras"]["form"], &json["asset"]["extras"]["face_mm"]),
            (&"slab".into(), &6.into())
        );
        assert_eq!(json["nodes"][0]["scale"][0], 0.001);
        let view = |accessor: usize| {
            let view = json["accessors"][accessor]["bufferView"].as_u64().unwrap() as usize;
            bin + 8 + json["bufferViews"][view]["byteOffset"].as_u64().unwrap() as usize
        };
        let (places, numbers) = (view(0), view(1));
        assert_eq!(json["accessors"][1]["count"].as_u64().unwrap() as usize, 3 * solid.triangles.len());
        for (i, triangle) in solid.triangles.iter().enumerate().step_by(97) {
            assert_eq!(word(numbers + 12 * i), triangle[0] as usize);
        }
        for (i, vertex) in solid.vertices.iter().enumerate().step_by(53) {
            assert_eq!(f32::from_bits(word(places + 12 * i + 8) as u32), vertex[2]);
        }
        assert_eq!(json["accessors"][0]["max"][0], 60.0);
    }
}
